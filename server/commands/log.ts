import { pino } from 'pino';
import type { Log } from '../serve-parts.ts';
import { err } from './say.ts';

const LEVELS = ['error', 'warn', 'info'] as const;

/**
 * What the daemon says on the way, on standard error: plain sentences where a person reads them at a terminal, lines
 * of JSON for the journal of a service. `level` as DUSKLATCH_LOG has it.
 */
export function logOf(level = 'warn', terminal = process.stderr.isTTY === true): Log {
  if (!terminal) return pino({ level }, pino.destination(2));
  const upTo = (LEVELS as readonly string[]).indexOf(level);
  const least = upTo < 0 ? LEVELS.indexOf('warn') : upTo;
  const say =
    (of: (typeof LEVELS)[number]) =>
    (what: object, text: string): void => {
      if (LEVELS.indexOf(of) <= least) err(sentence(what, text));
    };
  return { error: say('error'), warn: say('warn'), info: say('info') };
}

/** The text, with what is known beside it in brackets. */
function sentence(what: object, text: string): string {
  const known = Object.entries(what).filter(([, value]) => value !== undefined && value !== null);
  const more = known.map(
    ([key, value]) => `${key} ${typeof value === 'object' ? JSON.stringify(value) : value}`,
  );
  return more.length === 0 ? text : `${text} (${more.join(', ')})`;
}
