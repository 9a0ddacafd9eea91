import { connect } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { hostAllowed, hostName, originAllowed } from '../../server/api/guard.ts';
import { TestYard } from './harness.ts';

const NAMES = ['yard.saltmarsh.example', 'Dusk.Example.Org'];

describe('the host', () => {
  it.each([
    '127.0.0.1',
    '192.168.1.20:10310',
    '[::1]:10310',
    '[fd00::12]',
    '[::ffff:10.0.0.5]:1',
    'localhost',
    'LOCALHOST:10310',
    'garage',
    'garage:80',
    'garage.local',
    'Garage.Local.:10310',
    'yard.saltmarsh.example',
    'dusk.example.org:10310',
  ])('may be %s', (host) => {
    expect(hostAllowed(host, NAMES)).toBe(true);
  });

  it.each([
    'evil.example',
    '127.0.0.1.evil.example',
    'garage.local.evil.example',
    'yard.saltmarsh.example.evil.example',
    'x.yard.saltmarsh.example',
    '1.2.3',
    '999.1.1.1',
    '[::1',
    '[zz]',
    '[1.2.3.4]',
    '',
    ' ',
    ':80',
    '.local@evil.example',
    'user@127.0.0.1',
    'garage/..',
    'a b',
    'garage:port',
    'garage:123456',
    'evil.example#.local',
  ])('may not be %s', (host) => {
    expect(hostAllowed(host, NAMES)).toBe(false);
  });

  it('is told without port, brackets and closing dot', () => {
    expect(hostName('Garage.Local.:10310')).toBe('garage.local');
    expect(hostName('[FD00::12]:1')).toBe('fd00::12');
    expect(hostName('a/b')).toBeNull();
  });
});

describe('the origin', () => {
  it.each([
    [undefined, '10.0.0.5:10310'],
    ['http://10.0.0.5:10310', '10.0.0.5:10310'],
    ['http://garage.local', 'garage.local'],
    ['http://garage.local', 'garage.local:80'],
    ['https://garage.local', 'garage.local:443'],
    ['http://[fd00::12]:10310', '[FD00::12]:10310'],
    ['http://garage.local:10310', 'Garage.Local:10310'],
  ])('%s may ask %s', (origin, host) => {
    expect(originAllowed(origin, host)).toBe(true);
  });

  it.each([
    ['http://evil.example', '10.0.0.5:10310'],
    ['http://10.0.0.5', '10.0.0.5:10310'],
    ['http://10.0.0.5:10311', '10.0.0.5:10310'],
    ['http://10.0.0.5:10310.evil.example', '10.0.0.5:10310'],
    ['http://10.0.0.5:10310/', '10.0.0.5:10310'],
    ['http://user@10.0.0.5:10310', '10.0.0.5:10310'],
    ['null', '10.0.0.5:10310'],
    ['', '10.0.0.5:10310'],
    ['file://', '10.0.0.5:10310'],
    ['chrome-extension://abc', 'abc'],
    ['http://10.0.0.5:10310, http://evil.example', '10.0.0.5:10310'],
    ['https://garage.local', 'garage.local:80'],
  ])('%s may not ask %s', (origin, host) => {
    expect(originAllowed(origin, host)).toBe(false);
  });
});

describe('over the wire', () => {
  let yard: TestYard;
  beforeEach(async () => {
    yard = await TestYard.start();
  });
  afterEach(() => yard.end());

  it.each(['/', '/healthz', '/api/yard', '/api/session', '/metrics', '/socket.io/?EIO=4&transport=polling'])(
    'a foreign host is 421 for all but the stop: %s',
    async (path) => {
      const said = await yard.get(path, { headers: { host: 'evil.example' } });
      expect(said.status).toBe(421);
      expect(said.json.title).toBe('Misdirected Request');
      expect((await yard.get(path, { headers: { host: `garage.local:${yard.api.port}` } })).status).not.toBe(
        421,
      );
    },
  );

  it('reads are refused to a page of another site too', async () => {
    expect((await yard.get('/api/yard', { headers: { origin: 'http://evil.example' } })).status).toBe(403);
  });

  it.each([
    ['none in HTTP/1.1', 'GET /healthz HTTP/1.1\r\n\r\n'],
    ['two', 'GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: garage\r\n\r\n'],
    ['an empty one', 'GET /healthz HTTP/1.1\r\nHost:\r\n\r\n'],
  ])('a request with %s is 400 (RFC 9112 section 3.2)', async (_what, bytes) => {
    const text = await new Promise<string>((resolve, reject) => {
      const socket = connect(yard.api.port, '127.0.0.1', () => socket.write(bytes));
      socket.once('data', (data) => {
        socket.destroy();
        resolve(data.toString());
      });
      socket.once('error', reject);
    });
    expect(text).toMatch(/^HTTP\/1\.1 400 /);
  });

  it('a browser gets a page that says so and still carries the stop', async () => {
    const said = await yard.get('/', { headers: { host: 'evil.example', accept: 'text/html' } });
    expect(said.status).toBe(421);
    expect(said.headers['content-type']).toMatch(/^text\/html/);
    expect(said.text).toMatch(/<form method="post" action="\/api\/stop">/);
  });

  it('has headers that fit plain http and let nothing foreign in', async () => {
    for (const path of ['/healthz', '/', '/socket.io/?EIO=4&transport=polling', '/nothing']) {
      const { headers } = await yard.get(path);
      const policy = headers['content-security-policy'] ?? '';
      expect(policy).toMatch(/default-src 'none'/);
      expect(policy).toMatch(/script-src 'self'(;|$)/);
      expect(policy).toMatch(new RegExp(`connect-src 'self' ws://127\\.0\\.0\\.1:${yard.api.port}(;|$)`));
      expect(policy).toMatch(/frame-ancestors 'none'/);
      expect(policy).not.toMatch(/upgrade-insecure-requests|unsafe-eval/);
      expect(headers).not.toHaveProperty('strict-transport-security');
      expect(headers).not.toHaveProperty('x-powered-by');
      expect(headers).not.toHaveProperty('access-control-allow-origin');
      expect(headers['x-content-type-options']).toBe('nosniff');
    }
  });

  it('answers a request that offers h2c in plain HTTP', async () => {
    const said = await yard.get('/healthz', { headers: { connection: 'Upgrade', upgrade: 'h2c' } });
    expect(said.json).toEqual({ ok: true });
  });
});
