/*
 * What a person answers on the way to a first yard file: the place, its nights, its outlets, and each prop with its moves.
 */

export interface CircuitAnswer {
  readonly title: string;
  readonly volts: number;
  readonly breaker: number;
  readonly standing: number;
}

export interface MoveAnswer {
  readonly name: string;
  /** The sensor that ends it; null: by the clock. */
  readonly until: string | null;
  /** How long it usually takes, or lasts, s; NaN while its field is empty, as every number here. */
  readonly seconds: number;
  /** s; null: as proposed. */
  readonly limit: number | null;
  /** Index of its circuit; null where it draws nothing worth counting. */
  readonly circuit: number | null;
  readonly amps: number;
}

type PropKind = 'prop' | 'stop-station';

export interface PropAnswer {
  readonly id: string;
  readonly board: string;
  readonly title: string;
  readonly wanted: boolean;
  readonly kind: PropKind;
  readonly sensors: readonly { readonly id: string; readonly kind: 'end' | 'plain' }[];
  readonly home: string | null;
  readonly moves: readonly MoveAnswer[];
  /** Whether a person has changed it: until then it is proposed anew by what its board says. */
  readonly touched: boolean;
  /** Added by hand: no board has spoken for it yet, or one that says less than was planned. */
  readonly planned: boolean;
}

export interface Answers {
  readonly title: string;
  readonly timezone: string;
  readonly latitude: number | null;
  readonly longitude: number | null;
  /** Times of the clock, `18:30`. */
  readonly open: string;
  readonly close: string;
  readonly opens: 'by hand' | 'by itself';
  readonly circuits: readonly CircuitAnswer[];
  readonly props: readonly PropAnswer[];
}

export function blankAnswers(timezone: string): Answers {
  return {
    title: '',
    timezone,
    latitude: null,
    longitude: null,
    open: '18:30',
    close: '21:30',
    opens: 'by hand',
    circuits: [{ title: '', volts: timezone.startsWith('America/') ? 120 : 230, breaker: 15, standing: 0 }],
    props: [],
  };
}

/** Moves with the time of one changed: the way back takes as long as the way out, until somebody says otherwise. */
export function timed(moves: readonly MoveAnswer[], which: number, seconds: number): MoveAnswer[] {
  const { until, seconds: before } = moves[which]!;
  const follows = (move: MoveAnswer): boolean =>
    // NaN is the time of an emptied field
    until !== null && move.until !== null && Object.is(move.seconds, before) && move.limit === null;
  return moves.map((move, n) => (n === which || (n > which && follows(move)) ? { ...move, seconds } : move));
}

/** A title made of an id, until a person gives one. */
export function titled(id: string): string {
  const words = id.replace(/-+/g, ' ').trim();
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** `sensor-3`: a name that none of these has. */
export function unnamed(head: string, taken: readonly string[]): string {
  let n = taken.length + 1;
  while (taken.includes(`${head}-${n}`)) n += 1;
  return `${head}-${n}`;
}
