import { describe, expect, it } from 'vitest';
import { errorsIn, landing, marked } from './landing.ts';

type Change = readonly [from: string, to: string];

/** A change to the landing with `«` where the mistake is, and what is said after the line. */
export type Case = readonly [
  what: string,
  change: Change | readonly Change[],
  message: string,
  more?: Record<string, unknown>,
];

/** One mistake, told once, at the place of the mark, with this message after the line. */
function tell([, change, message, more]: Case): void {
  const changes = (typeof change[0] === 'string' ? [change] : change) as Change[];
  const { text, line, column } = marked(landing(...changes));
  const errors = errorsIn(text);
  expect(errors.map((e) => e.message)).toEqual([`Line ${line}: ${message}`]);
  expect(errors[0]).toMatchObject({ line, column, ...more });
  expect(errors[0]!.wanted).not.toBe('');
}

/** Each case makes one mistake, which must be told once, at its place. */
export function oneMistake(groups: Record<string, readonly Case[]>): void {
  for (const [group, cases] of Object.entries(groups)) {
    describe(group, () => {
      it.each(cases)('%s', (...one) => tell(one as unknown as Case));
    });
  }
}
