import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { problem } from '../../server/api/problem.ts';
import { SENTENCES, type SentenceCode } from '../../server/api/sentences.ts';
import { GERMAN, GERMAN_TITLES } from '../../server/api/sentences-de.ts';
import { TONGUES } from '../../server/words/tongues.ts';
import { expectForeign } from '../words/foreign.ts';
import { TestYard } from './harness.ts';

const codes = Object.keys(SENTENCES) as SentenceCode[];

describe('the api in German', () => {
  it.each(codes)('says %s with the same figures, the same stop, and no English', (code) => {
    const [en, de] = [SENTENCES[code], GERMAN[code]];
    expect(de).toMatch(/^[A-ZÄÖÜ„].*[.?]$|npm run build$/s);
    const figures = (text: string) =>
      (text.match(/\d+(?:\.\d+)*|DUSKLATCH_[A-Z]+|KiB|MiB|`[^`]+`/g) ?? []).sort();
    expect(figures(de)).toEqual(figures(en));
    expect(de.includes('ALLES STOPP')).toBe(en.includes('STOP ALL'));
    expect(/[Nn]ichts.*geändert/.test(de)).toBe(/[Nn]othing was changed/.test(en) || code === 'not-checked');
    expectForeign(de.replace('npm run build', ''), code);
  });

  it('heads each refusal in words of its own', () => {
    for (const title of Object.values(GERMAN_TITLES)) expectForeign(title, title);
    expect(new Set(Object.values(GERMAN_TITLES)).size).toBe(Object.keys(GERMAN_TITLES).length);
  });

  it('keeps the code and the standard’s own phrase for programs', () => {
    const refused = problem(403, 'keeper-only');
    expect(refused.body('de')).toEqual({
      ...refused.body('en'),
      detail: 'Das darf nur ein Wart.',
      reasons: [{ code: 'keeper-only', sentence: 'Das darf nur ein Wart.' }],
    });
    expect(refused.body('en').title).toBe('Forbidden');
    expect(refused.title('de')).toBe('Nicht erlaubt');
  });
});

describe('a yard that is told in German', () => {
  const { plain } = TONGUES.de;
  let yard: TestYard;
  beforeEach(async () => {
    yard = await TestYard.start({ tongue: TONGUES.de });
    const web = join(yard.folder, 'web');
    await mkdir(join(web, 'assets'), { recursive: true });
    for (const [from, to] of [
      ['index.html', 'index.html'],
      ['public/manifest.webmanifest', 'manifest.webmanifest'],
    ] as const)
      await writeFile(join(web, to), await readFile(new URL(`../../web/${from}`, import.meta.url)));
    await writeFile(join(web, 'assets', 'de-a1b2c3.js'), 'export {};');
    await writeFile(join(web, 'assets', 'index-a1b2c3.js'), 'export {};');
  });
  afterEach(() => yard.end());

  /** What a reader sees of it. */
  const seen = (html: string) =>
    html.replace(/<style[\s\S]*?<\/style>|<code>.*?<\/code>|<!--[\s\S]*?-->|<[^>]+>/g, ' ');

  it.each(['/', '/index.html'])(
    'has the stop in German on %s before any script, and says its language',
    async (path) => {
      const { text, headers } = await yard.get(path);
      expect(text).toMatch(/<html lang="de"/);
      expect(text).toContain(`<button type="submit">${plain.stopAll}</button>`);
      expect(text).toContain(`<p role="status">${plain.hint}</p>`);
      expectForeign(seen(text), path);
      expect(text).toContain('<link rel="modulepreload" crossorigin href="/assets/de-a1b2c3.js">');
      expect(headers['cache-control']).toBe('no-cache');
      expect(headers['content-type']).toMatch(/^text\/html/);
    },
  );

  it('tells a phone in German what it puts on its home screen', async () => {
    const { json } = await yard.get('/manifest.webmanifest');
    expect(json.description).toBe(plain.about);
  });

  it('refuses, stops and explains in German, each page with the stop on it', async () => {
    const html = { accept: 'text/html' };
    for (const [method, path] of [
      ['GET', '/nowhere'],
      ['GET', '/faults/'],
      ['GET', '/faults/travel-slow'],
      ['POST', '/api/stop'],
    ] as const) {
      const { text } = await yard.send(method, path, { headers: html });
      expect(text, path).toMatch(/<html lang="de">/);
      expect(text, path).toContain(`>${plain.stopAll}</button>`);
      expectForeign(seen(text), path);
    }
    yard.door.stopAnswer = () => ({ n: 8, bus: false });
    const { text, status } = await yard.send('POST', '/api/stop', { headers: html });
    expect(status).toBe(503);
    expect(text).toContain(plain.pressRedButton);
    expect((await yard.send('POST', '/api/stop')).json.detail).toBe(plain.noBus);
    const { json } = await yard.send('POST', '/api/session', { body: { pin: '999999' } });
    expect(json.reasons[0]).toEqual({ code: 'wrong-pin', sentence: 'Diese PIN stimmt nicht.' });
    const foreign = await yard.get('/', { headers: { host: 'elsewhere.example' } });
    expect(foreign.json.reasons[0].sentence).toBe(GERMAN['foreign-host']);
  });
});
