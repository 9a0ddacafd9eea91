import type { ClockTime, NightEntry, Yard } from '../../server/yard/types.ts';

/** A fixed wall time, from `HH:MM`. */
export function at(text: string): ClockTime {
  const [hour, minute] = text.split(':').map(Number);
  return { kind: 'clock', hour: hour!, minute: minute! };
}

/** A time of the sun with an offset in minutes. */
export function sun(event: 'sunset' | 'dusk', minutes = 0): ClockTime {
  return { kind: 'sun', event, offsetMs: minutes * 60_000 };
}

/** An entry of `nights`: every day, 18:00 to 22:30, unless said otherwise. */
export function entry(given: Partial<NightEntry> = {}): NightEntry {
  return {
    prepare: '0 16 * * *',
    open: at('18:00'),
    close: at('22:30'),
    quiet: null,
    opens: 'by itself',
    noticeMs: 30_000,
    noticeScene: null,
    fallbackOpen: null,
    ...given,
  };
}

/** A yard with nothing but nights, at Saltmarsh Landing unless said otherwise. */
export function yard(nights: readonly NightEntry[], given: Partial<Yard> = {}): Yard {
  return {
    id: 'saltmarsh',
    title: 'Saltmarsh Landing',
    timezone: 'America/Chicago',
    latitude: 41.88,
    longitude: -87.63,
    seed: 7,
    restart: 'ask',
    bus: { root: 'yard', listen: { host: '127.0.0.1', port: 1883 }, url: null, silenceMs: 1000 },
    nights,
    dark: [],
    circuits: new Map(),
    tanks: new Map(),
    zones: new Map(),
    props: new Map(),
    scenes: new Map(),
    controllers: new Map(),
    ...given,
  };
}

export const utc = (text: string): number => {
  const ms = Date.parse(text);
  if (Number.isNaN(ms)) throw new Error(`no instant: ${text}`);
  return ms;
};

export const iso = (ms: number | null | undefined): string | null =>
  ms === null || ms === undefined ? null : new Date(ms).toISOString();
