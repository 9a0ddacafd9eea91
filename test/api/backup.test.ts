import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestYard } from './harness.ts';

let yard: TestYard;
let keeper: string;
beforeEach(async () => {
  yard = await TestYard.start();
  keeper = await yard.keeper();
});
afterEach(() => yard.end());

const send = (raw: string | Buffer, cookie: string | undefined = keeper, type = 'application/zip') =>
  yard.send('POST', '/api/restore/check', { raw, cookie, headers: { 'content-type': type } });
const restore = (sum: string, cookie = keeper) => yard.post('/api/restore', { sum }, cookie);

describe('a backup over the page', () => {
  it('is for keepers alone, to take, to bring and to restore', async () => {
    for (const cookie of [undefined, await yard.helper()]) {
      const status = cookie ? 403 : 401;
      expect((await yard.get('/api/backup', { cookie })).status).toBe(status);
      expect((await yard.send('POST', '/api/restore/check', { raw: 'PK', cookie })).status).toBe(status);
      expect((await yard.send('POST', '/api/restore', { body: { sum: 'abc' }, cookie })).status).toBe(status);
    }
    expect(yard.backups.restored).toBe(null);
  });

  it('comes as a file with a name, and is kept by no cache', async () => {
    const said = await yard.get('/api/backup', { cookie: keeper });
    expect([said.status, said.text]).toEqual([200, 'PK']);
    expect(said.headers).toMatchObject({
      'content-type': 'application/zip',
      'content-disposition': 'attachment; filename=dusklatch-2026.zip',
      'cache-control': 'no-store',
    });
  });

  it('is read, told of, and restored only as what was read', async () => {
    expect((await send('PK')).json).toMatchObject({ sum: 'abc', yard: 'Saltmarsh Landing', nights: 2 });
    expect((await restore('other')).status).toBe(409);
    expect(yard.backups.restored).toBe(null);
    expect(await restore('abc')).toMatchObject({ status: 202, json: { kept: 'backups/before-restore.zip' } });
  });

  it('is refused in words: no zip, another type, too large, a full disk, another at work', async () => {
    expect((await send('bad')).json.detail).toBe('This is no whole zip file.');
    expect((await send('PK', keeper, 'application/json')).status).toBe(422);
    expect((await send('disk')).status).toBe(503);
    expect((await send(Buffer.alloc(64 * 1024 * 1024 + 1))).status).toBe(413);
    yard.backups.busy = true;
    for (const one of [
      await send('PK'),
      await restore('abc'),
      await yard.get('/api/backup', { cookie: keeper }),
    ])
      expect(one.json.reasons[0].code).toBe('backup-busy');
  });

  it.each(['restore-not-closed', 'restore-stopped', 'restore-moving', 'restore-read-only'] as const)(
    '%s says why',
    async (why) => {
      yard.backups.against = why;
      const said = await restore('abc');
      expect([said.status, said.json.reasons[0].code]).toEqual([409, why]);
      expect(said.json.detail).toContain('Nothing was changed.');
      expect((await yard.post('/api/restart', undefined, keeper)).json.reasons[0].code).toBe(
        'restart-not-closed',
      );
      yard.backups.against = null;
      expect((await yard.post('/api/restart', undefined, keeper)).status).toBe(202);
      expect((await yard.post('/api/restart', undefined, await yard.helper())).status).toBe(403);
    },
  );
});
