import type { Prop, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';
import { above, writeShare } from './figures.ts';
import { endKnown, timeKnown } from './known.ts';
import { listOf } from './names.ts';
import { writeTime } from './quantities.ts';

/** Looks at each prop as a whole: its home and the way there, its duty, and what a stop station may be. */
export function checkProps(yard: Yard, book: Book): void {
  const used = usedMoves(yard);
  for (const prop of yard.props.values()) {
    const path: Path = ['props', prop.id];
    if (prop.kind === 'stop-station') {
      checkStation(book, path, prop);
      continue;
    }
    checkHome(book, path, prop);
    checkDuty(book, path, prop);
    if (!book.clean(path)) continue;
    if (prop.moves.size === 0 && prop.sensors.size === 0) {
      book.note(path, `\`${prop.id}\` has neither moves nor sensors: nothing can be done with it.`);
    }
    for (const move of prop.moves.keys()) {
      if (!used.has(`${prop.id}.${move}`) && move !== prop.homeMove) {
        book.note(
          [...path, 'moves', move],
          `no scene uses \`${prop.id}.${move}\`: it runs from the bench alone.`,
        );
      }
    }
  }
  checkHomingRing(yard, book);
}

function usedMoves(yard: Yard): Set<string> {
  const used = new Set<string>();
  for (const scene of yard.scenes.values()) {
    for (const step of scene.steps) {
      if (step.kind === 'move') used.add(`${step.prop}.${step.move}`);
      if (step.kind === 'together') for (const m of step.moves) used.add(`${m.prop}.${m.move}`);
    }
    for (const m of scene.ifItFails) used.add(`${m.prop}.${m.move}`);
  }
  return used;
}

/** Keys that have no meaning on a red button. */
const NOT_ON_STATION = ['moves', 'home', 'home-move'] as const;
const IDLE_ON_STATION = ['duty', 'rest', 'drive', 'service-every'] as const;

function checkStation(book: Book, path: Path, prop: Prop): void {
  if (!book.names([...path, 'sensors']).includes('button') && book.knows([...path, 'sensors'])) {
    const say = `the stop station \`${prop.id}\` has no sensor \`button\`: that is the contact of the red button that is watched. Add \`sensors: {button: plain}\`.`;
    book.fail(path, { say, wanted: 'a sensor `button`', example: 'sensors: {button: plain}' }, 'key');
  } else if (prop.sensors.get('button')?.kind === 'end') {
    book.note(
      [...path, 'sensors', 'button'],
      `the button of \`${prop.id}\` is no end of travel: \`button: plain\` says what it is.`,
    );
  }
  for (const key of NOT_ON_STATION) {
    if (
      !book.wrote([...path, key]) ||
      (key === 'moves' && prop.moves.size === 0 && book.clean([...path, key]))
    )
      continue;
    const say = `\`${prop.id}\` is a stop station and has no \`${key}\`: it is a button, and only ever stops. Take \`${key}\` out, or make it a prop of its own.`;
    book.fail(
      [...path, key],
      { say, wanted: 'a station without moves and home', example: 'sensors: {button: plain}' },
      'key',
    );
  }
  for (const key of IDLE_ON_STATION) {
    if (book.wrote([...path, key])) book.note([...path, key], `\`${key}\` means nothing on a stop station.`);
  }
}

function checkHome(book: Book, path: Path, prop: Prop): void {
  const wroteMove = book.wrote([...path, 'home-move']);
  if (!book.wrote([...path, 'home'])) {
    if (wroteMove) {
      const say = `\`${prop.id}\` has a \`home-move\` and no \`home\`. Say which sensor is home, as \`home: near\`.`;
      book.fail([...path, 'home-move'], { say, wanted: 'a `home` beside it', example: 'home: near' }, 'key');
    }
    return;
  }
  if (prop.home === null || !prop.sensors.has(prop.home)) return;
  const toHome = [...prop.moves.values()].filter((m) => m.until === prop.home).map((m) => m.id);
  if (wroteMove) return checkHomeMove(book, [...path, 'home-move'], prop, toHome);
  if (!book.clean([...path, 'moves'])) return;
  if (toHome.length === 1) return;
  const why =
    toHome.length === 0
      ? `no move of \`${prop.id}\` is \`until: ${prop.home}\``
      : `${listOf(toHome)} of \`${prop.id}\` all end at \`${prop.home}\``;
  book.note(
    [...path, 'home'],
    `${why}, so it has no homing move: found away from home it is not ready until someone puts it there. \`home-move\` can name one.`,
  );
}

function checkHomeMove(book: Book, path: Path, prop: Prop, toHome: readonly string[]): void {
  const move = prop.homeMove === null ? undefined : prop.moves.get(prop.homeMove);
  if (!move || !book.clean(path) || !endKnown(book, prop.id, move.id)) return;
  const fail = (why: string, example: string): void =>
    book.fail(path, {
      say: `${book.quote(path)}: ${why}`,
      wanted: `a move that ends at \`${prop.home}\``,
      example,
    });
  if (move.until !== null && move.until !== prop.home) {
    const better = toHome[0] ?? [...prop.moves.keys()].find((m) => m !== move.id) ?? 'back';
    return fail(
      `that move ends at \`${move.until}\`, and home is \`${prop.home}\`. Name the move that leads home.`,
      better,
    );
  }
  // Another whose end is not known may lead home as well.
  const others = book.names(['props', prop.id, 'moves']).every((m) => endKnown(book, prop.id, m));
  if (others && toHome.length === 1 && toHome[0] !== move.id) {
    fail(
      `\`${toHome[0]}\` is the one move that ends at \`${prop.home}\`, so that is the homing move. Take \`home-move\` out.`,
      toHome[0]!,
    );
  }
}

function checkDuty(book: Book, path: Path, prop: Prop): void {
  if (!prop.duty || !book.clean([...path, 'duty'])) return;
  const allowed = prop.duty.on * prop.duty.overMs;
  const longest = [...prop.moves.values()]
    .filter((m) => timeKnown(book, prop.id, m) && above(m.usualMs, allowed))
    .toSorted((a, b) => b.usualMs - a.usualMs);
  for (const move of longest.slice(0, 1)) {
    const say = `\`${prop.id}.${move.id}\` can never run: it takes ${writeTime(move.usualMs)}, and the duty of \`${prop.id}\` allows ${writeTime(allowed)} of moving in any ${writeTime(prop.duty.overMs)} (${writeShare(prop.duty.on)}).`;
    const wanted = `a duty with room for ${writeTime(move.usualMs)}`;
    const over = `${Math.ceil(move.usualMs / prop.duty.on / 60_000)} min`;
    book.fail([...path, 'duty'], {
      say,
      wanted,
      example: `{on: ${writeShare(prop.duty.on)}, over: ${over}}`,
    });
  }
}

/** Props whose way home needs each other at home: with two of them away neither goes first. */
function checkHomingRing(yard: Yard, book: Book): void {
  const next = new Map<string, string[]>();
  for (const prop of yard.props.values()) {
    const move = prop.homeMove === null ? undefined : prop.moves.get(prop.homeMove);
    next.set(
      prop.id,
      (move?.needs ?? []).flatMap((n) => {
        const home = yard.props.get(n.prop)?.home;
        return n.prop !== prop.id &&
          home &&
          (n.kind === 'at-home' || (n.kind === 'made' && n.sensor === home))
          ? [n.prop]
          : [];
      }),
    );
  }
  const told = new Set<string>();
  for (const start of next.keys()) {
    const ring = ringFrom(start, next);
    if (!ring || ring.some((p) => told.has(p))) continue;
    for (const p of ring) told.add(p);
    const homeMove = yard.props.get(start)!.homeMove!;
    book.note(
      ['props', start, 'moves', homeMove],
      `to go home ${listOf(ring)} each need the other at home first: if more than one of them is found away, someone must put one there by hand.`,
    );
  }
}

function ringFrom(start: string, next: ReadonlyMap<string, readonly string[]>): string[] | null {
  const came = new Map<string, string>();
  const queue = [start];
  for (let at = queue.shift(); at !== undefined; at = queue.shift()) {
    for (const to of next.get(at) ?? []) {
      if (to === start) {
        const ring = [at];
        while (ring[0] !== start) ring.unshift(came.get(ring[0]!)!);
        return ring;
      }
      if (came.has(to)) continue;
      came.set(to, at);
      queue.push(to);
    }
  }
  return null;
}
