import type { ClockTime } from '../yard/types.ts';
import { type Reading, readQuantity, writeTime } from './quantities.ts';

const EXAMPLE = '"18:00"';
const WANTED = 'a clock time `HH:MM` in quotes, or `sunset` or `dusk` with `+` or `-` a time';

/**
 * Reads `18:00`, `sunset`, `sunset + 20 min`, `dusk - 10 min`. In YAML 1.2 an unquoted 22:30 is text already,
 * so quotes are advice and not a rule. Offsets of more than 6 h are refused as slips of the pen.
 */
export function readClockTime(raw: unknown): Reading<ClockTime> {
  const no = (what: string, example = EXAMPLE): Reading<ClockTime> => ({
    ok: false,
    complaint: { what, wanted: WANTED, example },
  });
  if (typeof raw === 'number') return no('is a number, not a time', fromDigits(String(raw)));
  if (typeof raw !== 'string') return no('is not a time');
  const text = raw.trim();
  const clock = /^(\d{2}):(\d{2})$/u.exec(text);
  if (clock) {
    const [hour, minute] = [Number(clock[1]), Number(clock[2])];
    if (hour === 24 && minute === 0) return no('is midnight, which is written `00:00`', '"00:00"');
    if (hour > 23 || minute > 59) return no('is no time of day');
    return { ok: true, value: { kind: 'clock', hour, minute } };
  }
  const sun = /^(sunset|dusk)(?:\s*([+-])\s*(.+))?$/u.exec(text);
  if (!sun) return no(...nearMiss(text));
  const event = sun[1] === 'dusk' ? 'dusk' : 'sunset';
  if (sun[2] === undefined) return { ok: true, value: { kind: 'sun', event, offsetMs: 0 } };
  const offset = readQuantity('time', sun[3], '20 min');
  if (!offset.ok) {
    return no(
      `: the time after \`${sun[2]}\` ${offset.complaint.what}`,
      `${event} ${sun[2]} ${offset.complaint.example}`,
    );
  }
  if (offset.value > 6 * 3_600_000) return no('is more than 6 h away from the sun', `${event} ${sun[2]} 1 h`);
  const offsetMs = Math.round(offset.value) * (sun[2] === '-' ? -1 : 1);
  return { ok: true, value: { kind: 'sun', event, offsetMs } };
}

function nearMiss(text: string): [string, string] {
  const twelve = /^(\d{1,2})(?::(\d{2}))?\s*([ap])\.?m\.?$/iu.exec(text);
  if (twelve && Number(twelve[1]) >= 1 && Number(twelve[1]) <= 12 && Number(twelve[2] ?? 0) <= 59) {
    const hour = (Number(twelve[1]) % 12) + (twelve[3]!.toLowerCase() === 'p' ? 12 : 0);
    return ['is on a twelve-hour clock', `"${two(hour)}:${twelve[2] ?? '00'}"`];
  }
  const loose = /^(\d{1,2})[:.h](\d{1,2})(?::\d{2})?$/iu.exec(text);
  if (loose && Number(loose[1]) <= 23 && Number(loose[2]) <= 59) {
    return ['is not written `HH:MM`', `"${two(Number(loose[1]))}:${loose[2]!.padStart(2, '0')}"`];
  }
  if (/^\d{3,4}$/u.test(text)) return ['is not written `HH:MM`', fromDigits(text)];
  if (/^(sunrise|dawn)/iu.test(text))
    return ['is a morning time: only `sunset` and `dusk` are known', 'sunset'];
  if (/^(sunset|dusk)/iu.test(text))
    return ['has more beside the sun than `+` or `-` a time', 'sunset + 20 min'];
  return ['is not a time of day', EXAMPLE];
}

function fromDigits(digits: string): string {
  const padded = digits.padStart(4, '0');
  const [hour, minute] = [Number(padded.slice(0, 2)), Number(padded.slice(2))];
  return padded.length === 4 && hour <= 23 && minute <= 59 ? `"${two(hour)}:${two(minute)}"` : EXAMPLE;
}

/** Writes a clock time as the file would. */
export function writeClockTime(time: ClockTime): string {
  if (time.kind === 'clock') return `${two(time.hour)}:${two(time.minute)}`;
  if (time.offsetMs === 0) return time.event;
  return `${time.event} ${time.offsetMs < 0 ? '-' : '+'} ${writeTime(Math.abs(time.offsetMs))}`;
}

function two(n: number): string {
  return String(n).padStart(2, '0');
}
