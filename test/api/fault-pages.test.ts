import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FAULT_CODES } from '../../server/show/reasons.ts';
import { TestYard } from './harness.ts';

let yard: TestYard;
beforeAll(async () => {
  yard = await TestYard.start();
});
afterAll(() => yard.end());

/**
 * Whether a page's own policy lets its style through: CSP Level 3, 6.7.2 ("Does element match source list for type and
 * source?"): the SHA-256 of what stands between the tags, base64, within quotes after `style-src`.
 */
function allowsItsStyle(policy: string, html: string): boolean {
  const styles = [...html.matchAll(/<style>([\s\S]*?)<\/style>/g)].map(([, text]) => text!);
  const list = /(?:^|;)style-src ([^;]*)/.exec(policy)?.[1]?.split(' ') ?? [];
  const hashes = styles.map((text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`);
  return styles.length > 0 && hashes.every((hash) => list.includes(hash));
}

describe('the pages of the faults', () => {
  it.each(['/faults/', ...FAULT_CODES.map((code) => `/faults/${code}`)])(
    '%s is for anyone, styled by its hash, with the stop and without script',
    async (path) => {
      const said = await yard.get(path, { headers: { accept: 'text/html' } });
      expect(said.status).toBe(200);
      expect(said.headers['content-type']).toMatch(/^text\/html; charset=utf-8/i);
      const policy = String(said.headers['content-security-policy']);
      expect(policy).toMatch(/(^|;)default-src 'none'/);
      expect(policy).not.toMatch(/unsafe|script-src/);
      expect(allowsItsStyle(policy, said.text)).toBe(true);
      expect(allowsItsStyle(policy, said.text.replace('<style>', '<style> '))).toBe(false);
      // what a policy by hash does not let through
      expect(said.text).not.toMatch(/\sstyle=|<script|\son[a-z]+=/);
      expect(said.text).toContain('<form method="post" action="/api/stop">');
      expect(said.headers['x-content-type-options']).toBe('nosniff');
    },
  );

  it('lead to one another: each link of the index is there', async () => {
    const index = await yard.get('/faults/');
    const links = [...index.text.matchAll(/href="(\/faults\/[^"]+)"/g)].map(([, href]) => href!);
    expect(links).toHaveLength(FAULT_CODES.length);
    for (const link of links) expect((await yard.get(link)).text).toContain('href="/faults/"');
  });

  it('are found without the last slash', async () => {
    const said = await yard.get('/faults');
    expect([said.status, said.headers.location]).toEqual([308, '/faults/']);
  });

  it.each([
    '/faults/constructor',
    '/faults/TRAVEL-SLOW',
    '/faults/travel-slow/',
    '/faults/%2e%2e%2fpeople.json',
    '/faults/<b>',
  ])('are not there for %s, and say so with the stop beside', async (path) => {
    const said = await yard.get(path, { headers: { accept: 'text/html' } });
    expect(said.status).toBe(404);
    expect(said.text).toMatch(/<form method="post" action="\/api\/stop">/);
    expect(said.text).not.toMatch(/<b>|constructor/);
  });

  it('answer to a foreign host no more than anything else does', async () => {
    expect((await yard.get('/faults/', { headers: { host: 'elsewhere.example' } })).status).toBe(421);
  });
});
