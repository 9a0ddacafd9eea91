import type { BusSettings } from '../yard/types.ts';
import { BOUNDS, leaf } from './leaf.ts';
import { patternOf, type Reading, readQuantity } from './quantities.ts';

export interface Surge {
  readonly amps: number;
  readonly forMs: number;
}

const SURGE = '4.5 A for 400 ms';

/** Reads `4.5 A for 400 ms`. */
function readSurge(raw: unknown): Reading<Surge> {
  const wanted = `a current and how long it lasts, such as \`${SURGE}\``;
  const no = (what: string, example = SURGE): Reading<Surge> => ({
    ok: false,
    complaint: { what, wanted, example },
  });
  if (typeof raw !== 'string') return no('does not say how long the surge lasts');
  const halves = raw.split(/\s+for\s+/u);
  if (halves.length !== 2) {
    const amps = readQuantity('current', raw, '4.5 A');
    return no('does not say how long the surge lasts', amps.ok ? `${raw.trim()} for 400 ms` : SURGE);
  }
  const [current, time] = halves as [string, string];
  const amps = readQuantity('current', current, '4.5 A');
  if (!amps.ok)
    return no(`: the current ${amps.complaint.what}`, `${amps.complaint.example} for ${time.trim()}`);
  const forMs = readQuantity('time', time, '400 ms');
  if (!forMs.ok)
    return no(`: the time ${forMs.complaint.what}`, `${current.trim()} for ${forMs.complaint.example}`);
  if (amps.value <= 0 || amps.value > BOUNDS.current.most)
    return no(`: the current is to be ${BOUNDS.current.said}`);
  if (Math.round(forMs.value) <= 0 || forMs.value > 600_000)
    return no(': the time is to be above zero and 10 min at most');
  return { ok: true, value: { amps: amps.value, forMs: Math.round(forMs.value) } };
}

export const surge = leaf(
  readSurge,
  'a current for a time',
  SURGE,
  'What it draws instead for the first stretch of the move; not below run.',
  { type: 'string', pattern: `${patternOf('current').slice(0, -1)} +for +\\S.*$`, examples: [SURGE] },
);

type Listen = NonNullable<BusSettings['listen']>;

function readListen(raw: unknown): Reading<Listen> {
  const no = (what: string, example = '0.0.0.0:1883'): Reading<Listen> => ({
    ok: false,
    complaint: { what, wanted: 'an address and a port, such as `0.0.0.0:1883`', example },
  });
  if (Number.isInteger(raw)) return no('is a port without an address', `0.0.0.0:${raw}`);
  if (typeof raw !== 'string') return no('is no address');
  const text = raw.trim();
  if (text.includes('://'))
    return no('is a URL: for a broker of its own elsewhere write `url:`', '127.0.0.1:1883');
  const parts = /^(\[[0-9a-fA-F:.]+\]|[A-Za-z0-9.-]+):(\d{1,5})$/u.exec(text);
  if (!parts) {
    const host = /^[A-Za-z0-9.-]+$/u.test(text) ? text : null;
    return no(host ? 'has no port' : 'is no address with a port', host ? `${host}:1883` : '0.0.0.0:1883');
  }
  const port = Number(parts[2]);
  if (port < 1 || port > 65_535) return no('has no port that exists: 1 to 65535', `${parts[1]}:1883`);
  return { ok: true, value: { host: parts[1]!.replace(/^\[|\]$/gu, ''), port } };
}

export const listen = leaf(
  readListen,
  'an address and a port',
  '0.0.0.0:1883',
  'Where the embedded broker listens. 127.0.0.1 is this computer alone; boards need 0.0.0.0 or its address on the network.',
  { type: 'string', pattern: '^\\S+:\\d{1,5}$', examples: ['127.0.0.1:1883', '0.0.0.0:1883'] },
);

function readUrl(raw: unknown): Reading<string> {
  const example = 'mqtt://192.0.2.10:1883';
  const no = (what: string, better = example): Reading<string> => ({
    ok: false,
    complaint: { what, wanted: 'the URL of an MQTT broker', example: better },
  });
  if (typeof raw !== 'string') return no('is no URL');
  const text = raw.trim();
  if (!text.includes('://'))
    return no('is no URL', /^[\w.-]+(:\d+)?$/u.test(text) ? `mqtt://${text}` : example);
  if (!URL.canParse(text)) return no('is no URL');
  const url = new URL(text);
  if (!['mqtt:', 'mqtts:', 'ws:', 'wss:'].includes(url.protocol))
    return no('begins with none of mqtt, mqtts, ws and wss');
  return url.hostname === '' ? no('names no host') : { ok: true, value: text };
}

export const url = leaf(
  readUrl,
  'the URL of a broker',
  'mqtt://192.0.2.10:1883',
  'An existing MQTT broker to use instead of the embedded one.',
  { type: 'string', pattern: '^(mqtts?|wss?)://\\S+$', examples: ['mqtt://192.0.2.10:1883'] },
);

/** A topic to which others are added: no wildcards, no empty level, no `$`, which belongs to the broker (MQTT 3.1.1, 4.7). */
function readRoot(raw: unknown): Reading<string> {
  const no = (what: string, example = 'yard'): Reading<string> => ({
    ok: false,
    complaint: { what, wanted: 'the first part of a topic, such as `yard` or `farm/yard`', example },
  });
  if (typeof raw !== 'string') return no('is no topic', Number.isFinite(raw) ? `"${raw}"` : 'yard');
  if (raw === '') return no('is empty');
  if (/[#+]/u.test(raw)) return no('has a wildcard (`#` or `+`) in it');
  if (raw.startsWith('$')) return no("begins with `$`, which is the broker's own");
  const tidy = raw.split('/').filter((level) => level.trim() !== '');
  if (tidy.length !== raw.split('/').length)
    return no('has an empty level: a `/` too many', tidy.join('/') || 'yard');
  if (/[\s\p{Cc}]/u.test(raw))
    return no('has a blank in it', raw.trim().replace(/[\s\p{Cc}]+/gu, '-') || 'yard');
  return raw.length <= 100 ? { ok: true, value: raw } : no('is longer than 100 letters');
}

export const root = leaf(
  readRoot,
  'the first part of a topic',
  'yard',
  'What every topic on the bus begins with.',
  {
    type: 'string',
    pattern: '^[^#+$/\\s][^#+\\s]*$',
    examples: ['yard'],
  },
);
