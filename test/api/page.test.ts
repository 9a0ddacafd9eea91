import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestYard } from './harness.ts';

let yard: TestYard;
beforeEach(async () => {
  yard = await TestYard.start();
});
afterEach(() => yard.end());

async function build(): Promise<void> {
  const web = join(yard.folder, 'web');
  await mkdir(join(web, 'assets'), { recursive: true });
  await writeFile(join(web, 'index.html'), '<!doctype html><title>Yard</title>');
  await writeFile(join(web, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  await writeFile(join(web, 'assets', 'main-a1b2c3.js'), 'export {};');
  await writeFile(join(web, '.secret'), 'no');
}

describe('the built page', () => {
  it('is served, asked about each time; what its content names is kept for a year', async () => {
    await build();
    const index = await yard.get('/');
    expect(index.status).toBe(200);
    expect(index.text).toMatch(/<title>Yard/);
    expect(index.headers['cache-control']).toBe('no-cache');
    expect((await yard.get('/icon.svg')).headers['cache-control']).toBe('no-cache');
    const asset = await yard.get('/assets/main-a1b2c3.js');
    expect(asset.headers['cache-control']).toBe('public, max-age=31536000, immutable');
    expect(asset.headers['content-type']).toMatch(/^text\/javascript/);
    const tag = index.headers.etag ?? '';
    expect((await yard.get('/', { headers: { 'if-none-match': tag } })).status).toBe(304);
  });

  it.each([
    '/../people.json',
    '/..%2fpeople.json',
    '/%2e%2e/people.json',
    '/.secret',
    '/assets/..%5c..%5cpeople.json',
    '/assets',
    '/assets/',
    '/%00',
  ])('gives nothing else away: %s', async (path) => {
    await build();
    const said = await yard.get(path);
    expect([404, 422]).toContain(said.status);
    expect(said.text).not.toMatch(/salt/);
  });
});

describe('where the page is not built', () => {
  it('says so, and how to build it, with the stop beside', async () => {
    const said = await yard.get('/', { headers: { accept: 'text/html' } });
    expect(said.status).toBe(503);
    expect(said.text).toMatch(/npm run build/);
    expect(said.text).toMatch(/STOP ALL/);
    const plain = await yard.get('/');
    expect(plain.json.reasons[0].code).toBe('not-built');
  });

  it('answers an unknown page with one that carries the stop', async () => {
    await build();
    const said = await yard.get('/no"such<page>', { headers: { accept: 'text/html' } });
    expect(said.status).toBe(404);
    expect(said.text).toMatch(/<form method="post" action="\/api\/stop">/);
    expect(said.text).not.toMatch(/such<page>/);
  });
});
