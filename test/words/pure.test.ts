import { readdirSync, readFileSync } from 'node:fs';
import { join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';

const server = fileURLToPath(new URL('../../server', import.meta.url));

/** The pure rooms, and what of the other rooms each may import; as DEVELOPERS.md has it. */
const ROOMS: Record<string, readonly string[]> = {
  show: ['yard/', 'trend/', 'plan/tonight.ts', 'picture.ts'],
  plan: ['yard/', 'show/chance.ts'],
  yard: [],
  words: ['show/', 'yard/'],
  trend: [],
};

const IMPURE = /\bDate\b|\bsetTimeout\b|\bsetInterval\b|\bMath\.random\b|\bperformance\b|\bprocess\b/;

function filesOf(folder: string): string[] {
  return readdirSync(join(server, folder), { withFileTypes: true }).flatMap((e) =>
    e.isDirectory() ? filesOf(join(folder, e.name)) : e.name.endsWith('.ts') ? [join(folder, e.name)] : [],
  );
}

/** Source without comments and without what stands in quotes: names in words are no code. */
function codeOf(text: string): string {
  return text
    .replace(/\/\*[\s\S]*?\*\//g, '')
    .replace(/(^|\s)\/\/.*$/gm, '$1')
    .replace(/'(?:[^'\\\n]|\\.)*'|"(?:[^"\\\n]|\\.)*"/g, "''");
}

describe.each(Object.entries(ROOMS))('the room %s', (room, allowed) => {
  const files = filesOf(room);

  test('has files', () => expect(files.length).toBeGreaterThan(0));

  test.each(files)('%s imports only what it may, and knows no clock and no chance', (path) => {
    const text = readFileSync(join(server, path), 'utf8');
    for (const [, from] of text.matchAll(/\bfrom\s+'([^']+)'|\bimport\s*\(/g)) {
      expect(from, `${path} imports by name only`).toBeDefined();
      expect(from, path).toMatch(/^\.\.?\//);
      const target = normalize(join(path, '..', from!));
      const inside = target.startsWith(`${room}/`);
      expect(inside || allowed.some((a) => target.startsWith(a)), `${path} imports ${target}`).toBe(true);
    }
    expect(codeOf(text), path).not.toMatch(IMPURE);
  });
});
