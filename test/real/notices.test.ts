import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { postJson } from '../../server/notices/post.ts';

/** Against a real receiver, by its paths: taken, refused, sent elsewhere, never answered, broken off. */
describe('posting a notice', () => {
  let server: Server;
  let at: string;
  const heard: { path: string; type: string; body: string }[] = [];
  beforeAll(async () => {
    server = createServer((req, res) => {
      let body = '';
      req.on('data', (part) => {
        body += part;
      });
      req.on('end', () => {
        heard.push({ path: req.url!, type: req.headers['content-type'] ?? '', body });
        if (req.url === '/hang') return;
        if (req.url === '/cut') return void req.socket.destroy();
        if (req.url === '/elsewhere') return void res.writeHead(302, { location: '/taken' }).end();
        res.writeHead(req.url === '/refused?token=t0ken' ? 403 : 204).end();
      });
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    at = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  });
  afterAll(async () => {
    server.closeAllConnections();
    await new Promise((done) => server.close(done));
  });

  it('is JSON, and taken by any good status', async () => {
    expect(await postJson(`${at}/taken`, { what: 'trial' })).toEqual({ ok: true });
    expect(heard.at(-1)).toEqual({ path: '/taken', type: 'application/json', body: '{"what":"trial"}' });
  });

  it('says in words why not, with the host and nothing else of the address', async () => {
    const host = at.slice('http://'.length);
    expect(await postJson(`${at}/refused?token=t0ken`, {})).toEqual({
      ok: false,
      why: `${host} answered 403`,
    });
    expect(await postJson(`${at}/cut`, {})).toEqual({ ok: false, why: `${host} broke the connection off` });
    expect(await postJson('http://127.0.0.1:9/t0ken', {}, 2000)).toMatchObject({
      ok: false,
      why: expect.not.stringContaining('t0ken'),
    });
  });

  it('follows nobody elsewhere, and waits for no one who never answers', async () => {
    expect(await postJson(`${at}/elsewhere`, {})).toMatchObject({
      ok: false,
      why: expect.stringContaining('302'),
    });
    expect(heard.at(-1)!.path).toBe('/elsewhere');
    const began = performance.now();
    expect(await postJson(`${at}/hang`, {}, 300)).toMatchObject({
      ok: false,
      why: expect.stringContaining('in time'),
    });
    expect(performance.now() - began).toBeLessThan(3000);
  });
});
