import { mkdirSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { landing } from './landing.ts';
import { freePort } from './mosquitto.ts';
import { inFolder, onShore } from './shore.ts';
import { type Ran, runCli } from './yard-rig.ts';

/** What keeps the daemon from starting: it says so in words, and changes nothing. */

/** A port that someone else has. */
async function taken<T>(act: (port: number) => Promise<T>): Promise<T> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  try {
    return await act((server.address() as { port: number }).port);
  } finally {
    server.close();
  }
}

/** Starts the daemon on a yard file and a data folder of its own; it is expected to refuse. */
async function refusal(
  given: {
    text?: string | Buffer;
    file?: string;
    data?: (dir: string) => string;
    args?: readonly string[];
    env?: NodeJS.ProcessEnv;
  } = {},
): Promise<Ran> {
  return inFolder('refused', async (dir) => {
    const file = given.file ?? join(dir, 'yard.yaml');
    if (given.file === undefined) writeFileSync(file, given.text ?? landing({ port: await freePort() }));
    const data = given.data?.(dir) ?? join(dir, 'data');
    const { env = {}, args = [] } = given;
    return runCli(['serve', file, '--host', '127.0.0.1', '--data', data, ...args], {
      DUSKLATCH_PORT: '0',
      ...env,
    });
  });
}

/** Refused with this code in a sentence for people: nothing on standard output, and no trace of the program's insides. */
function says(ran: Ran, code: 1 | 2, ...sentences: RegExp[]): void {
  expect([ran.code, ran.out, ran.err]).toEqual([code, '', expect.any(String)]);
  for (const sentence of sentences) expect(ran.err).toMatch(sentence);
  expect(ran.err).not.toMatch(/node:internal|^\s+at /m);
}

describe.concurrent('a start that is refused', { timeout: 60_000 }, () => {
  it('for a yard file with errors: all of them, each with its line', async () => {
    // thirty mistakes on thirty lines of their own, more than fit a screen
    const wrong = Array.from(
      { length: 30 },
      (_, i) => `  prop-${i}: {title: Prop ${i}, moves: {go: {lasts: 5}}}`,
    );
    const text = landing({ port: await freePort() }).replace('props:\n', `props:\n${wrong.join('\n')}\n`);
    const first = text.split('\n').findIndex((l) => l.startsWith('  prop-0:')) + 1;
    const ran = await refusal({ text });
    says(ran, 1, /yard\.yaml has 30 errors:/);
    for (let i = 0; i < 30; i += 1)
      expect(ran.err).toMatch(new RegExp(`^  Line ${first + i}: .*lasts: 5`, 'm'));
  });

  it('for a file that is not there, is a folder, or is no text', async () => {
    says(await refusal({ file: '/nowhere/at/all.yaml' }), 2, /There is no file \/nowhere\/at\/all\.yaml\./);
    says(await refusal({ file: '/' }), 2, /\/ can't be read/);
    says(await refusal({ text: Buffer.from([0xff, 0xfe, 0x41, 0x00]) }), 1, /UTF-8/);
    says(await refusal({ text: '' }), 1, /yard\.yaml/);
  });

  it('for a port of the page or of the bus that is taken', () =>
    taken(async (port) => {
      const at = String(port);
      says(
        await refusal({ args: ['--port', at] }),
        1,
        new RegExp(`Port ${at} is taken by another program`),
        /DUSKLATCH_PORT/,
      );
      says(
        await refusal({ text: landing({ port }) }),
        1,
        new RegExp(`bus can't listen on 127\\.0\\.0\\.1:${at}`),
        /DUSKLATCH_BUS_PORT/,
      );
      says(
        await refusal({ env: { DUSKLATCH_BUS_PORT: at } }),
        1,
        new RegExp(`bus can't listen on 127\\.0\\.0\\.1:${at}`),
      );
    }));

  it('for settings that make no sense', async () => {
    for (const port of ['nonsense', '70000']) {
      says(
        await refusal({ env: { DUSKLATCH_PORT: port } }),
        2,
        new RegExp(`DUSKLATCH_PORT is '${port}', which is no port`),
      );
    }
    says(
      await refusal({ env: { DUSKLATCH_BUS_PORT: 'x' } }),
      2,
      /DUSKLATCH_BUS_PORT is 'x', which is no port/,
    );
    says(await refusal({ env: { DUSKLATCH_KEEPER_PIN: 'abcd' } }), 2, /keeper PIN must be 4 to 12 digits/);
    says(await refusal({ args: ['--prot', '80'] }), 2, /unknown option '--prot'/);
    says(await refusal({ args: ['--host', '203.0.113.77'] }), 1, /no address 203\.0\.113\.77/);
  });

  it('tells the PIN that it made all the same, since that one holds from then on', () =>
    taken(async (port) => {
      const free = await freePort();
      const started: Ran[] = [];
      await inFolder('refused', async (dir) => {
        const file = join(dir, 'yard.yaml');
        writeFileSync(file, landing({ port: free }));
        const args = ['serve', file, '--host', '127.0.0.1', '--data', join(dir, 'data')];
        for (let i = 0; i < 2; i++) started.push(await runCli([...args, '--port', String(port)], {}));
      });
      says(started[0]!, 1, /is taken by another program/, /Keeper PIN {2}\d{6} /);
      says(started[1]!, 1, /is taken by another program/);
      expect(started[1]!.err).not.toContain('Keeper PIN');
    }));

  it('for a data folder that can not be used', async () => {
    const asFile = (dir: string) => {
      writeFileSync(join(dir, 'file'), '');
      return join(dir, 'file');
    };
    says(await refusal({ data: asFile }), 1, /data folder can't be used/);
    says(await refusal({ data: (dir) => join(asFile(dir), 'below') }), 1, /data folder can't be used/);
    // what can't be trusted is left as it is, and never begun anew by itself: a latched stop could be lost that way
    for (const [name, sentence] of [
      ['numbers', /numbers is damaged.*It is left as it is/s],
      ['journal.db', /journal\.db (is damaged|is not a file of Dusklatch)/],
    ] as const) {
      let damaged = '';
      const ran = await refusal({
        data: (dir) => {
          mkdirSync(join(dir, 'data'));
          damaged = join(dir, 'data', name);
          writeFileSync(damaged, 'not what it was'.repeat(1000));
          return join(dir, 'data');
        },
      });
      says(ran, 1, sentence);
    }
  });

  it('for a data folder in use by a second daemon; the first goes on', () =>
    onShore({ open: false }, async ({ yard }) => {
      const ran = await refusal({ data: () => yard.dataDir });
      says(
        ran,
        1,
        new RegExp(`in use by another program \\(Dusklatch, process ${yard.pid()}\\)`),
        /DUSKLATCH_DATA/,
      );
      expect((await fetch(`${yard.url}/readyz`)).status).toBe(200);
    }));
});
