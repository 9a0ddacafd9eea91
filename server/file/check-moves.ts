import type { Move, Need, Prop, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';
import { above, writeAmps } from './figures.ts';
import { known, timeKnown } from './known.ts';
import { writeNeed } from './names.ts';
import { writeTime } from './quantities.ts';

/** Looks at each move by itself: how it ends, its times, its surge, and whether its needs can hold at all. */
export function checkMoves(yard: Yard, book: Book): void {
  for (const prop of yard.props.values()) {
    for (const move of prop.moves.values()) {
      const path: Path = ['props', prop.id, 'moves', move.id];
      checkEnd(book, path, prop, move);
      checkTimes(book, path, prop, move);
      checkSurges(book, path, move);
      checkNeeds(yard, book, path, prop, move);
    }
  }
}

function checkEnd(book: Book, path: Path, prop: Prop, move: Move): void {
  const name = `${prop.id}.${move.id}`;
  const [lasts, until] = [book.wrote([...path, 'lasts']), book.wrote([...path, 'until'])];
  const wanted = 'exactly one of `lasts` and `until`';
  if (lasts && until) {
    const say = `the move \`${name}\` has both \`lasts\` and \`until\`. It lasts a time, or it goes on until a sensor is made: take one out.`;
    return book.fail([...path, 'until'], { say, wanted, example: 'until: far' }, 'key');
  }
  if (!lasts && !until) {
    const say = `the move \`${name}\` does not say when it ends. Add \`lasts: 20 s\`, or \`until: far\` with a sensor of its own.`;
    return book.fail(path, { say, wanted, example: 'lasts: 20 s' }, 'key');
  }
  if (lasts) {
    if (book.wrote([...path, 'usual'])) {
      book.note(
        [...path, 'usual'],
        `\`usual\` of \`${name}\` is not used: a move that \`lasts\` takes just that.`,
      );
    }
    return;
  }
  if (!book.wrote([...path, 'usual']) && !book.wrote(['props', prop.id, 'drive'])) {
    const say = `the move \`${name}\` goes on until a sensor and does not say how long that usually takes. Add \`usual: 7 s\`, or a \`drive\` to the prop.`;
    book.fail(path, { say, wanted: '`usual`, or the `drive` of the prop', example: 'usual: 7 s' }, 'key');
  }
  if (!book.wrote([...path, 'limit'])) {
    const example = Number.isFinite(move.usualMs) ? limitFor(move.usualMs) : '12 s';
    const say = `the move \`${name}\` goes on until a sensor and has no \`limit\`: after what time is something wrong? Add \`limit: ${example}\`.`;
    book.fail(path, { say, wanted: 'a `limit` above the usual time', example: `limit: ${example}` }, 'key');
  }
}

/** A limit that leaves room: half as much again and two seconds, in whole seconds. */
function limitFor(usualMs: number): string {
  return `${Math.ceil((usualMs * 1.5 + 2000) / 1000)} s`;
}

function checkTimes(book: Book, path: Path, prop: Prop, move: Move): void {
  if (!timeKnown(book, prop.id, move) || !book.clean([...path, 'limit']) || !book.wrote([...path, 'limit']))
    return;
  const { usualMs, limitMs } = move;
  if (limitMs <= usualMs) {
    const what = move.derived ? `the ${writeTime(usualMs)} that its drive takes` : writeTime(usualMs);
    const usual = move.lastsMs === null ? `the usual time (${what})` : `the time it lasts (${what})`;
    const say = `${book.quote([...path, 'limit'])} is not above ${usual}: every run of \`${prop.id}.${move.id}\` would be a fault. Write \`limit: ${limitFor(usualMs)}\`.`;
    const wanted = `a time above ${writeTime(usualMs)}`;
    book.fail([...path, 'limit'], { say, wanted, example: limitFor(usualMs) });
  } else if (limitMs < usualMs * 1.1) {
    const say = `${book.quote([...path, 'limit'])} leaves less than a tenth above the usual ${writeTime(usualMs)}: a cold night may be enough for a fault.`;
    book.note([...path, 'limit'], say);
  }
}

function checkSurges(book: Book, path: Path, move: Move): void {
  for (const load of move.loads) {
    const at = [...path, 'load', load.circuit, 'surge'];
    if (!book.wrote(at) || !known(book, [...path, 'load', load.circuit], ['run', 'surge'])) continue;
    if (above(load.runAmps, load.surgeAmps)) {
      const say = `${book.quote(at)} is below the running current of ${writeAmps(load.runAmps)}. The surge is the whole draw while starting: write the larger figure.`;
      const example = `${writeAmps(load.runAmps * 2.5)} for ${writeTime(load.surgeMs)}`;
      book.fail(at, { say, wanted: `${writeAmps(load.runAmps)} or more, for a time`, example });
    } else if (load.surgeMs > move.usualMs) {
      book.note(
        at,
        `the surge of ${writeTime(load.surgeMs)} is longer than the move (${writeTime(move.usualMs)}): it counts for the whole of it.`,
      );
    }
  }
}

/** Each need is compared with each, and people must be able to follow what a move waits for. */
const MOST_NEEDS = 64;

function checkNeeds(yard: Yard, book: Book, path: Path, prop: Prop, move: Move): void {
  const name = `${prop.id}.${move.id}`;
  const seen = new Map<string, Need>();
  if (move.needs.length > MOST_NEEDS) {
    const say = `\`${name}\` has ${move.needs.length} needs; ${MOST_NEEDS} are the most that a move may have.`;
    return book.fail([...path, 'needs'], {
      say,
      wanted: `at most ${MOST_NEEDS} needs`,
      example: '[ferry.far]',
    });
  }
  for (const [i, need] of move.needs.entries()) {
    const at = [...path, 'needs', i];
    const text = writeNeed(need);
    if (seen.has(text)) {
      book.note(at, `\`${name}\` needs \`${text}\` twice.`);
      continue;
    }
    const why = whyNever(yard, prop, move, need) ?? whyAgainst(yard, need, [...seen.values()]);
    seen.set(text, need);
    if (why !== null && book.clean(at)) {
      const say = `\`${name}\` can never run: it needs \`${text}\`, ${why}`;
      book.fail(at, {
        say,
        wanted: 'needs that can hold together until the move ends',
        example: prop.id === need.prop ? 'needs: []' : `${need.prop} at rest`,
      });
    }
    if (need.kind === 'not-made' && need.prop === prop.id && need.sensor === move.until) {
      book.note(
        at,
        `\`${name}\` needs \`${text}\`, and makes that sensor itself as it arrives: leave it out.`,
      );
    }
  }
}

/** Why a need can't hold during the very move that has it; null where it can. */
function whyNever(yard: Yard, prop: Prop, move: Move, need: Need): string | null {
  const other = yard.props.get(need.prop);
  if (other?.kind === 'stop-station' && need.kind === 'made') {
    return 'and while that is made the whole yard is stopped. A station stops by itself and is in no needs.';
  }
  if (need.prop !== prop.id) return null;
  if (need.kind === 'at-rest' || need.kind === 'at-home') {
    return 'and is not at rest while it moves. A prop never makes two moves at once anyway: leave it out.';
  }
  if (need.kind !== 'made' || move.until === null || !isEnd(prop, need.sensor) || !isEnd(prop, move.until))
    return null;
  if (need.sensor === move.until)
    return 'where it only arrives at its end. Needs must hold from the start: leave it out.';
  return 'which it leaves by moving, and needs must hold until the move ends. Leave it out: the desk itself sees from where it moves.';
}

/** Why a need can't hold beside those before it; null where it can. */
function whyAgainst(yard: Yard, need: Need, before: readonly Need[]): string | null {
  for (const other of before) {
    if (other.prop !== need.prop) continue;
    const prop = yard.props.get(need.prop);
    const [a, b] = [sensorOf(prop, need), sensorOf(prop, other)];
    if (!prop || a === null || b === null) continue;
    const both = need.kind !== 'not-made' && other.kind !== 'not-made';
    const against = (need.kind === 'not-made') !== (other.kind === 'not-made') && a === b;
    const twoEnds = both && a !== b && isEnd(prop, a) && isEnd(prop, b);
    if (against) return `and also \`${writeNeed(other)}\`, which is the opposite.`;
    if (twoEnds) return `and also \`${writeNeed(other)}\`: a prop is never at two ends at once.`;
  }
  return null;
}

/** The sensor that a need is about; null for one that is about rest alone. */
export function sensorOf(prop: Prop | undefined, need: Need): string | null {
  if (need.kind === 'made' || need.kind === 'not-made') return need.sensor;
  return need.kind === 'at-home' ? (prop?.home ?? null) : null;
}

export function isEnd(prop: Prop, sensor: string): boolean {
  return prop.sensors.get(sensor)?.kind === 'end';
}
