import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { request as plainRequest } from 'node:http';
import { request as secureRequest } from 'node:https';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openDoors, TlsError } from '../../server/api/doors.ts';
import { certificateIn, haveOpenssl } from './certificate.ts';
import { KEEPER_PIN, TestYard } from './harness.ts';

interface Said {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  text: string;
}

/** On both schemes of one port. */
describe.skipIf(!haveOpenssl)('the page by https', () => {
  let folder: string;
  let yard: TestYard;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'dusklatch-tls-'));
    yard = await TestYard.start({ tls: certificate(folder) });
  });
  afterAll(async () => {
    await yard?.end();
    rmSync(folder, { recursive: true, force: true });
  });

  function ask(scheme: 'http' | 'https', method: string, path: string, body?: object): Promise<Said> {
    const raw = body && JSON.stringify(body);
    const request = scheme === 'http' ? plainRequest : secureRequest;
    return new Promise((resolve, reject) => {
      const req = request(
        {
          host: '127.0.0.1',
          port: yard.api.port,
          method,
          path,
          agent: false,
          // made for this test, and known to nobody
          rejectUnauthorized: false,
          headers: raw
            ? { 'content-type': 'application/json', 'content-length': Buffer.byteLength(raw) }
            : {},
        },
        (res) => {
          let text = '';
          res.on('data', (part) => {
            text += part;
          });
          res.on('end', () => resolve({ status: res.statusCode ?? 0, headers: res.headers, text }));
        },
      );
      req.on('error', reject);
      req.end(raw);
    });
  }

  it('answers, with a cookie that never goes out in the clear, and a socket that does not either', async () => {
    const picture = await ask('https', 'GET', '/api/yard');
    expect(picture.status).toBe(200);
    expect(picture.headers['content-security-policy']).toContain(`wss://127.0.0.1:${yard.api.port}`);
    const signed = await ask('https', 'POST', '/api/session', { pin: KEEPER_PIN });
    expect(String(signed.headers['set-cookie'])).toContain('Secure');
    expect(yard.api.url).toMatch(/^https:/);
  });

  it('is where plain http leads, on the same port, and nothing else is to be had there', async () => {
    const led = await ask('http', 'GET', '/api/yard?x=1');
    expect([led.status, led.headers.location]).toEqual([
      308,
      `https://127.0.0.1:${yard.api.port}/api/yard?x=1`,
    ]);
    expect((await ask('http', 'POST', '/api/session', { pin: KEEPER_PIN })).headers['set-cookie']).toBe(
      undefined,
    );
    expect((await ask('http', 'GET', '//elsewhere.example/')).headers.location).toBe(
      `https://127.0.0.1:${yard.api.port}/`,
    );
  });

  it('takes a stop by either', async () => {
    const before = yard.door.stops?.length ?? 0;
    expect((await ask('http', 'POST', '/api/stop')).status).toBe(200);
    expect((await ask('https', 'POST', '/api/stop')).status).toBe(200);
    expect(yard.door.stops.length).toBe(before + 2);
  });

  it('is kept from nobody by callers who say nothing, or nonsense', async () => {
    const idle = Array.from({ length: 300 }, () => connect(yard.api.port, '127.0.0.1').on('error', () => {}));
    const nonsense = connect(yard.api.port, '127.0.0.1').on('error', () => {});
    nonsense.write(Buffer.from([0x16, 0xff, 0xff, 0xff, 0, 0, 0]));
    expect((await ask('http', 'POST', '/api/stop')).status).toBe(200);
    expect((await ask('https', 'GET', '/healthz')).status).toBe(200);
    for (const socket of [...idle, nonsense]) socket.destroy();
  });

  it('closes within a second whoever is still there', async () => {
    const other = await TestYard.start({ tls: certificate(folder) });
    const idle = connect(other.api.port, '127.0.0.1').on('error', () => {});
    const half = connect(other.api.port, '127.0.0.1').on('error', () => {});
    half.write(Buffer.from([0x16, 3, 1]));
    await new Promise((later) => setTimeout(later, 50));
    const began = performance.now();
    await other.end();
    expect(performance.now() - began).toBeLessThan(1000);
    idle.destroy();
    half.destroy();
  });

  it('says that a certificate is none', () => {
    const nonsense = Buffer.from('no certificate');
    expect(() => openDoors({ cert: nonsense, key: nonsense }, {})).toThrow(TlsError);
  });
});

function certificate(folder: string): { cert: Buffer; key: Buffer } {
  const { cert, key } = certificateIn(folder);
  return { cert: readFileSync(cert), key: readFileSync(key) };
}
