import { afterEach, describe, expect, it, vi } from 'vitest';
import { logOf } from '../../server/commands/log.ts';
import { replayTold } from '../../server/commands/replay.ts';
import { aloneWords, unheardWords } from '../../server/commands/serve.ts';

/** What the commands say on standard error. */
let said = '';
const listen = (): void => {
  said = '';
  vi.spyOn(process.stderr, 'write').mockImplementation((part) => {
    said += String(part);
    return true;
  });
};
afterEach(() => vi.restoreAllMocks());

describe('what the daemon says on the way', () => {
  it('is sentences at a terminal, with what is known in brackets', () => {
    listen();
    const log = logOf(undefined, true);
    log.info({}, 'Not said.');
    log.warn({ ip: '10.0.0.4', origin: undefined }, 'Stop asked for.');
    log.error({}, 'The disk is full.');
    expect(said).toBe('Stop asked for. (ip 10.0.0.4)\nThe disk is full.\n');
  });

  it('says as much as it is told to', () => {
    listen();
    logOf('error', true).warn({}, 'Not said.');
    logOf('info', true).info({}, 'Said.');
    expect(said).toBe('Said.\n');
  });

  it('names the stand-ins to whoever has no board, with the bus where it is not the one of the file', () => {
    expect(unheardWords('my-yard.yaml', null)).toBe(
      'No board is heard yet. To try this yard without boards: npx dusklatch standins my-yard.yaml',
    );
    expect(unheardWords('my-yard.yaml', 'mqtt://127.0.0.1:1999')).toMatch(
      / my-yard\.yaml --bus mqtt:\/\/127\.0\.0\.1:1999$/,
    );
  });

  it('says how a phone gets to a page that this computer alone reaches', () => {
    expect(aloneWords(true)).toContain('npm start -- --host 0.0.0.0');
    expect(aloneWords(false)).toContain('start it with --host 0.0.0.0');
  });
});

describe('what the replay says', () => {
  const told = (compared: number, taken: number) =>
    replayTold({ from: 0, events: 9, compared, taken, difference: null, gaps: [] }).join(' ');

  it('finds no difference where something was compared, and only there', () => {
    expect(told(2, 0)).toContain('compared 2 times');
    expect(told(2, 0)).toContain('No difference');
    expect(told(0, 0)).toContain('No state has been kept after them yet');
    expect(told(0, 1)).toContain('begin a new yard file');
    for (const taken of [0, 1]) expect(told(0, taken)).not.toContain('No difference');
  });
});
