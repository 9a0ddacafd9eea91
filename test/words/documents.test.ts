import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { FAULT_CODES } from '../../server/show/reasons.ts';
import { TITLES } from '../../server/words/en/faults/titles.ts';
import { CAUTIONS } from '../../server/words/en/notice.ts';
import { FAULT_PAGES_PATH } from '../../server/words/pages.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const file = (path: string) => readFileSync(join(root, path), 'utf8');
const readme = file('README.md');
const developers = file('DEVELOPERS.md');

const DOCUMENTS = ['README.md', 'DEVELOPERS.md', 'deploy/README.md', 'deploy/firmware/README.md'];

/** The rest of the line and the lines below a heading, up to the next of its kind. */
function section(text: string, heading: string): string {
  const from = text.indexOf(`\n## ${heading}\n`);
  expect(from, heading).toBeGreaterThan(0);
  const to = text.indexOf('\n## ', from + 1);
  return text.slice(from, to < 0 ? undefined : to);
}

/** All TypeScript of the daemon, as one text. */
function serverText(folder = 'server'): string {
  return readdirSync(join(root, folder), { withFileTypes: true })
    .map((e) => {
      const path = join(folder, e.name);
      return e.isDirectory() ? serverText(path) : e.name.endsWith('.ts') ? file(path) : '';
    })
    .join('\n');
}

describe('README', () => {
  test('the cautions stand in it, before anything is tried, as everywhere else', () => {
    const cautions = section(readme, 'Read this first');
    for (const caution of CAUTIONS) expect(cautions).toContain(`\n- ${caution}\n`);
    expect(readme.indexOf('## Read this first')).toBeLessThan(readme.indexOf('## Try it'));
  });

  test('its table of faults has every code with its title', () => {
    const faults = section(readme, 'What faults mean');
    for (const code of FAULT_CODES) expect(faults).toContain(`| ${TITLES[code]} | \`${code}\` |`);
    expect(faults.match(/^\| .* \| `[a-z-]+` \|/gm)).toHaveLength(FAULT_CODES.length);
    expect(faults).toContain(`\`${FAULT_PAGES_PATH}\``);
  });

  test('its settings are those that the daemon reads, and its flags those of serve', () => {
    const said = new Set(section(readme, 'Settings').match(/DUSKLATCH_[A-Z_]+/g));
    const read = new Set(serverText().match(/\bDUSKLATCH_[A-Z_]+/g));
    expect([...said].sort()).toEqual([...read].sort());
    const example = new Set(
      file('deploy/dusklatch.env')
        .match(/^#DUSKLATCH_[A-Z_]+/gm)
        ?.map((v) => v.slice(1)),
    );
    expect([...example].sort()).toEqual([...read].sort());
    for (const [, flag] of section(readme, 'Settings').matchAll(/`(--[a-z-]+)`/g))
      expect(serverText(), flag).toContain(`'${flag} <`);
  });

  test('its commands are those of the program, with their options', () => {
    const cli = file('server/cli.ts').split('.command(').slice(1);
    const named = cli.map((c) => /^'([a-z]+)'/.exec(c)![1]!);
    const table = section(readme, 'Commands');
    const rows = [...table.matchAll(/^\| `dusklatch ([a-z]+)(.*)$/gm)].map(
      ([, name, rest]) => [name!, rest!] as const,
    );
    expect(rows.map(([name]) => name).sort()).toEqual([...named].sort());
    for (const [name, rest] of rows) {
      const options = [...rest.matchAll(/--[a-z-]+/g)].map(([o]) => o);
      for (const option of options)
        expect(cli[named.indexOf(name)], `${name} ${option}`).toContain(`'${option}`);
    }
  });

  test('its first yard file is one that the reader takes', () => {
    const yaml = /```yaml\n([\s\S]+?)```/.exec(readme)?.[1];
    const read = readYard(yaml!, 'README.md');
    expect(read.ok ? [] : read.errors).toEqual([]);
  });

  test('its messages are JSON', () => {
    const board = section(readme, 'A board of your own');
    const messages = [...board.matchAll(/`(\{.+?\})`/g)].map(([, json]) => json!);
    expect(messages.length).toBeGreaterThanOrEqual(9);
    for (const json of messages) expect(() => JSON.parse(json), json).not.toThrow();
  });
});

describe('all documents', () => {
  test.each(DOCUMENTS)('the files that %s names are there', (path) => {
    const text = file(path);
    const folders = path.includes('/') ? [path.slice(0, path.lastIndexOf('/')), ''] : [''];
    const named = [
      ...text.matchAll(/`((?:config|deploy|server|web|test|carriage|\.ci)\/[\w./-]*[\w/])`/g),
    ].map(([, f]) => f!);
    for (const name of named)
      expect(
        folders.some((f) => existsSync(join(root, f, name))),
        `${path} names ${name}`,
      ).toBe(true);
  });

  test.each(DOCUMENTS)('the scripts that %s calls are in the package', (path) => {
    const { scripts } = JSON.parse(file('package.json')) as { scripts: Record<string, string> };
    const called = [...file(path).matchAll(/npm run ([a-z]+)/g)].map(([, name]) => name!);
    for (const name of called) expect(scripts, `${path}: npm run ${name}`).toHaveProperty(name);
  });

  test.each(DOCUMENTS)('no line of %s is broken off or left for later', (path) => {
    expect(file(path)).not.toMatch(/TODO|TBD|FIXME|lorem|XXX/i);
  });

  test('the service starts the built command with the data where its notes say', () => {
    const unit = file('deploy/dusklatch.service');
    const pkg = JSON.parse(file('package.json')) as { bin: { dusklatch: string } };
    expect(unit).toContain(`/opt/dusklatch/${pkg.bin.dusklatch} serve /var/lib/dusklatch/yard.yaml`);
    expect(unit).toMatch(/^Restart=always$/m);
    expect(unit).toMatch(/^StateDirectory=dusklatch$/m);
    expect(file('deploy/README.md')).toContain('/var/lib/dusklatch/yard.yaml');
  });

  test('DEVELOPERS names every room of the server', () => {
    for (const room of readdirSync(join(root, 'server'), { withFileTypes: true }))
      if (room.isDirectory()) expect(developers, room.name).toContain(`${room.name}/`);
  });
});
