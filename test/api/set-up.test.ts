import { existsSync } from 'node:fs';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { RedButton } from '../../server/red-button.ts';
import { YardFile } from '../../server/yard-file.ts';
import { FILE_TEXT, liveOn, TestYard } from './harness.ts';

const BUILT = new URL('../../dist/server/file-check.js', import.meta.url);

let yard: TestYard;
let keeper: string;
beforeEach(async () => {
  yard = await TestYard.start();
  keeper = await yard.keeper();
});
afterEach(() => yard.end());

const file = async () => (await yard.get('/api/file', { cookie: keeper })).json;
const put = (body: object, cookie = keeper) => yard.send('PUT', '/api/file', { body, cookie });
const check = (text: unknown, cookie = keeper) => yard.post('/api/file/check', { text }, cookie);

describe('the yard file', () => {
  it('is shown to a keeper only, since it may bear a password', async () => {
    expect(await file()).toMatchObject({
      name: 'saltmarsh.yaml',
      text: FILE_TEXT,
      editable: true,
      runs: true,
    });
    expect((await yard.get('/api/file', { cookie: await yard.helper() })).status).toBe(403);
    expect((await check('x', await yard.helper())).status).toBe(403);
  });

  it('is checked without being kept', async () => {
    expect((await check('a: 1\n  wrong: 2\n')).json.errors).toEqual([
      { line: 2, column: 3, message: 'Line 2: this is wrong.' },
    ]);
    expect((await check('fine: 1')).json.ok).toBe(true);
    expect((await check('slow')).status).toBe(422);
    expect((await file()).text).toBe(FILE_TEXT);
  });

  it('says in what it differs from the file that runs', async () => {
    expect((await check('yard: other\n')).json.changes).toEqual([
      { path: ['yard'], was: FILE_TEXT, is: 'yard: other\n', when: 'closed', of: null },
    ]);
    expect((await check(FILE_TEXT)).json.changes).toEqual([]);
  });

  it('runs at once where nothing holds it back, and the one before it is the last good one', async () => {
    yard.show = { ...yard.show, mode: 'closed' };
    const saved = await put({ text: 'yard: other\n', base: (await file()).hash });
    expect(saved.json).toMatchObject({ runs: true, waits: null });
    expect(await file()).toMatchObject({ text: 'yard: other\n', runs: true, waits: null });
    expect((await put({ text: 'yard: third\n', base: saved.json.hash })).json.runs).toBe(true);
    expect(await readFile(`${yard.filePath}.last-good`, 'utf8')).toBe('yard: other\n');
  });

  it('is saved where it has no errors; what runs is kept beside it, and goes on until the yard is closed', async () => {
    const { hash } = await file();
    const saved = await put({ text: 'yard: other\n', base: hash });
    expect(saved.json).toMatchObject({
      lastGood: 'saltmarsh.yaml.last-good',
      runs: false,
      waits: { when: 'closed', props: [], scenes: [] },
    });
    expect(await readFile(yard.filePath, 'utf8')).toBe('yard: other\n');
    expect(await readFile(`${yard.filePath}.last-good`, 'utf8')).toBe(FILE_TEXT);
    expect(await file()).toMatchObject({ runs: false, hash: saved.json.hash });
    // A second save still keeps the text that runs, not the one that was never started.
    expect((await put({ text: 'yard: third\n', base: saved.json.hash })).status).toBe(200);
    expect(await readFile(`${yard.filePath}.last-good`, 'utf8')).toBe(FILE_TEXT);
    expect((await readdir(yard.folder)).filter((name) => name.startsWith('saltmarsh'))).toHaveLength(2);
  });

  it('is not saved with errors, too slow, or over another’s changes', async () => {
    const { hash } = await file();
    const wrong = await put({ text: 'wrong', base: hash });
    expect([wrong.status, wrong.json.detail]).toEqual([422, 'Line 1: this is wrong.']);
    expect((await put({ text: 'slow', base: hash })).status).toBe(422);
    await writeFile(yard.filePath, 'yard: by hand\n');
    expect((await put({ text: 'yard: mine\n', base: hash })).status).toBe(409);
    expect(await readFile(yard.filePath, 'utf8')).toBe('yard: by hand\n');
    expect(existsSync(`${yard.filePath}.last-good`)).toBe(false);
  });

  it('is taken up to 256 KiB, and no further', async () => {
    expect((await check('"\n'.repeat(128 * 1024))).status).toBe(200);
    expect((await check('x'.repeat(256 * 1024 + 1))).status).toBe(422);
    expect((await check('x'.repeat(600 * 1024))).status).toBe(413);
    expect((await check(7)).status).toBe(422);
  });

  it('stays as it is in the demonstration', async () => {
    const demo = new YardFile(
      yard.filePath,
      liveOn(FILE_TEXT, () => yard.show),
      false,
      async () => null,
    );
    expect(await demo.save('yard: x', 'any', 'Wren')).toEqual({ kind: 'not-editable' });
  });

  it('is checked one at a time', async () => {
    let end = () => {};
    const slow = new YardFile(
      yard.filePath,
      liveOn(FILE_TEXT, () => yard.show),
      true,
      () => new Promise((done) => (end = () => done(null))),
    );
    const first = slow.check('a');
    expect(await slow.check('b')).toBe('busy');
    end();
    expect(await first).toBe(null);
  });
});

describe.skipIf(!existsSync(BUILT))('the reader on its thread', () => {
  it('finds what is wrong with line and column, reviews what is not, and leaves the loop free', async () => {
    const { checkFile } = (await import(BUILT.href)) as typeof import('../../server/file-check.ts');
    const good = await readFile(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8');
    let turns = 0;
    const beat = setInterval(() => {
      turns += 1;
    }, 5);
    const fine = await checkFile(good);
    clearInterval(beat);
    expect(fine!.checked).toMatchObject({ ok: true, errors: [] });
    expect(fine!.yard!.props.get('ferry')!.moves.get('out')!.limitMs).toBe(12_000);
    expect(fine!.checked.findings.length).toBeGreaterThan(3);
    expect(turns).toBeGreaterThan(2);
    const changed = await checkFile(good.replace('limit: 12 s', 'limit: 13 s'), good);
    expect(changed!.changes).toEqual([
      {
        path: ['props', 'ferry', 'moves', 'out', 'limit'],
        was: '12 s',
        is: '13 s',
        when: 'rest',
        of: { kind: 'prop', id: 'ferry' },
      },
    ]);
    const wrong = await checkFile(good.replace('limit: 12 s', 'limit: 12'));
    expect(wrong!.checked.errors[0]).toMatchObject({
      line: good.slice(0, good.indexOf('limit: 12 s')).split('\n').length,
    });
    expect(await checkFile(good, null, 1)).toBe(null);
  });
});

describe('the red button’s record', () => {
  const SAID = {
    where: 'On the post at the gate',
    cuts: 'Motor power and air',
    testedBy: 'Wren',
    testedOn: '2026-10-31',
  };
  const say = (body: object, cookie = keeper) => yard.send('PUT', '/api/red-button', { body, cookie });

  it('is empty until a keeper says it, then for everyone to read, also after a restart', async () => {
    expect((await yard.get('/api/red-button')).json).toEqual({ said: null });
    expect((await say(SAID, await yard.helper())).status).toBe(403);
    expect((await say(SAID)).status).toBe(200);
    const told = { ...SAID, saidBy: 'keeper', saidAt: yard.now };
    expect((await yard.get('/api/red-button')).json).toEqual({ said: told });
    expect((await RedButton.open(yard.folder)).said).toEqual(told);
  });

  it('wants every part', async () => {
    for (const part of Object.keys(SAID))
      expect((await say({ ...SAID, [part]: ' ' })).status, part).toBe(422);
    expect((await say({ ...SAID, testedOn: 'yesterday' })).status).toBe(422);
  });

  it('is asked for again where its file can’t be read, which is set aside', async () => {
    await writeFile(join(yard.folder, 'red-button.json'), '{"where":7}');
    expect((await RedButton.open(yard.folder)).said).toBe(null);
    expect(await readFile(join(yard.folder, 'red-button.json.unreadable'), 'utf8')).toBe('{"where":7}');
  });
});
