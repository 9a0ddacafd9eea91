import { afterEach, describe, expect, it, vi } from 'vitest';
import { logOf } from '../../server/commands/log.ts';
import { unheardWords } from '../../server/commands/serve.ts';

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
      'No board is heard yet. To try this yard without boards: dusklatch standins my-yard.yaml',
    );
    expect(unheardWords('my-yard.yaml', 'mqtt://127.0.0.1:1999')).toMatch(
      / my-yard\.yaml --bus mqtt:\/\/127\.0\.0\.1:1999$/,
    );
  });
});
