import { advance, draw, freeLitres, pressureKpa, type TankLevel } from '../yard/air.ts';
import { moveOf, type TimedMove, timelineOf } from '../yard/timeline.ts';
import type { Prop, Scene, Tank, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import { whyTooMuch } from './check-power.ts';
import type { Path } from './errors.ts';
import { above, writeLitres, writePressure, writeShare } from './figures.ts';
import { circuitKnown, courseKnown, endKnown, known } from './known.ts';
import { listOf } from './names.ts';
import { judgeScenes, tellTrouble } from './positions.ts';
import { writeTime } from './quantities.ts';

/** The longest night that the file makes, ms from open: to its close, and to the end of what is loud. */
export interface Longest {
  readonly closeMs: number;
  readonly loudMs: number;
}

/**
 * Finds scenes that could never run, whatever the night: their needs contradict, one step of theirs is too much for a circuit
 * alone, their draws for a full tank, their moving for a duty, or they are longer than any night.
 */
export function checkRuns(yard: Yard, book: Book, longest: Longest | null): void {
  const sound = [...yard.scenes.values()].filter((scene) => isSound(yard, book, scene));
  const judged = judgeScenes(yard, sound, spotsKnown(yard, book, sound));
  for (const { scene, troubles, idle, astray } of judged) {
    for (const trouble of troubles) {
      const say = `the scene \`${scene.id}\` can never run: ${tellTrouble(trouble)}`;
      const wanted = 'steps along which every need can hold';
      book.fail(stepPath(scene, trouble.step, trouble.together), {
        say,
        wanted,
        example: 'ferry.out before ferryman.row',
      });
    }
    for (const { step, together, prop, move } of idle) {
      const until = moveOf(yard, prop, move).until;
      book.note(
        stepPath(scene, step, together),
        `in \`${scene.id}\` \`${prop}\` already stands at \`${until}\` when \`${prop}.${move}\` comes: it has nothing to do.`,
      );
    }
    for (const { prop, at } of astray) {
      book.note(
        ['scenes', scene.id, 'steps'],
        `\`${scene.id}\` leaves \`${prop}\` at \`${at}\`, and no scene brings it home: its next run finds it there.`,
      );
    }
  }
  for (const scene of sound) {
    checkTogetherLoads(yard, book, scene);
    const timeline = timelineOf(yard, scene);
    checkAir(yard, book, scene, timeline.moves);
    checkDuties(yard, book, scene, timeline.moves);
    if (longest) checkLength(yard, book, scene, longest);
  }
}

/** Whether the course of the scene is known: its steps, and of each move all that says where it leads, when and if. */
function isSound(yard: Yard, book: Book, scene: Scene): boolean {
  const uses = scene.steps.flatMap((s) => (s.kind === 'wait' ? [] : s.kind === 'move' ? [s] : s.moves));
  return (
    known(book, ['scenes', scene.id], ['steps', 'if-it-fails']) &&
    [...uses, ...scene.ifItFails].every(({ prop, move }) => {
      const its = yard.props.get(prop)?.moves.get(move);
      return (
        its !== undefined &&
        known(book, ['props', prop], ['sensors', 'home']) &&
        courseKnown(book, prop, its) &&
        its.needs.every((n) => yard.props.has(n.prop))
      );
    })
  );
}

/**
 * Whether it is known of a prop where it can stand: all that says so was read, and so was every scene that moves it. A step
 * that was not read, or that names no prop of the file, may be meant for any.
 */
function spotsKnown(yard: Yard, book: Book, sound: readonly Scene[]): (prop: string) => boolean {
  const broken = [...yard.scenes.values()].filter((scene) => !sound.includes(scene));
  const lost = broken.some((scene) => !namesAll(yard, book, scene));
  if (lost || yard.scenes.size < book.count(['scenes'])) return () => false;
  const moved = new Set(broken.flatMap((scene) => scene.props));
  return (prop) =>
    !moved.has(prop) &&
    known(book, ['props', prop], ['sensors', 'home']) &&
    book.names(['props', prop, 'moves']).every((move) => endKnown(book, prop, move));
}

/** Whether all the moves that the scene names were read, and are moves of props of the file. */
function namesAll(yard: Yard, book: Book, scene: Scene): boolean {
  const path: Path = ['scenes', scene.id];
  const whole = (list: Path, read: number): boolean =>
    read === book.count(list) && (read > 0 || book.clean(list));
  return (
    whole([...path, 'steps'], scene.steps.length) &&
    whole([...path, 'if-it-fails'], scene.ifItFails.length) &&
    scene.steps.every(
      (step, i) => step.kind !== 'together' || whole([...path, 'steps', i, 'together'], step.moves.length),
    ) &&
    scene.props.every((prop) => yard.props.has(prop))
  );
}

function stepPath(scene: Scene, step: number, together: number | null): Path {
  const path = ['scenes', scene.id, 'steps', step];
  return together === null ? path : [...path, 'together', together];
}

function checkTogetherLoads(yard: Yard, book: Book, scene: Scene): void {
  scene.steps.forEach((step, i) => {
    if (step.kind !== 'together' || step.moves.length < 2) return;
    for (const circuit of yard.circuits.values()) {
      if (!circuitKnown(book, circuit.id)) continue;
      let [run, surge] = [0, 0];
      const drawing: string[] = [];
      for (const m of step.moves) {
        for (const load of moveOf(yard, m.prop, m.move).loads) {
          if (load.circuit !== circuit.id) continue;
          // All start at once, so the surges meet.
          run += load.runAmps;
          surge += load.surgeAmps;
          drawing.push(`${m.prop}.${m.move}`);
        }
      }
      const why = drawing.length > 1 ? whyTooMuch(yard, circuit, run, surge) : null;
      if (why === null) continue;
      const say = `the scene \`${scene.id}\` can never run: of ${listOf(drawing)} together, ${why} Start one after the other, or move one to another circuit.`;
      book.fail(stepPath(scene, i, null), {
        say,
        wanted: `moves together that \`${circuit.id}\` can carry`,
        example: `- ${drawing[0]}`,
      });
    }
  });
}

/** What of a tank its pressure follows from. */
const TANK_KEYS = ['volume', 'cut-in', 'cut-out', 'working', 'delivery'];

function checkAir(yard: Yard, book: Book, scene: Scene, moves: readonly TimedMove[]): void {
  const drawn = new Set(moves.flatMap((m) => moveOf(yard, m.prop, m.move).air.map((a) => a.tank)));
  for (const id of drawn) {
    const tank = yard.tanks.get(id);
    if (!tank || !known(book, ['tanks', id], TANK_KEYS)) continue;
    const draws = drawsOf(yard, tank, moves);
    const lowest = lowestKpa(tank, draws);
    if (draws.length < 2 || lowest === null || !above(tank.workingKpa, lowest)) continue;
    const litres = draws.reduce((sum, d) => sum + d.litres, 0);
    const say = `the scene \`${scene.id}\` can never run: it draws ${writeLitres(litres)} of free air from \`${tank.id}\`, which even from cut-out (${writePressure(tank.cutOutKpa)}) and with the compressor running leaves ${writePressure(Math.max(0, lowest))} at the lowest, and ${writePressure(tank.workingKpa)} must be left.`;
    book.fail(
      ['scenes', scene.id, 'steps'],
      { say, wanted: `draws that leave ${writePressure(tank.workingKpa)}`, example: 'wait: 30 s' },
      'key',
    );
  }
}

export interface Draw {
  readonly atMs: number;
  readonly litres: number;
}

/** What moves draw from a tank, in order of time, those at one instant as one. */
export function drawsOf(yard: Yard, tank: Tank, moves: readonly TimedMove[]): Draw[] {
  const at = new Map<number, number>();
  for (const m of moves) {
    for (const a of moveOf(yard, m.prop, m.move).air) {
      if (a.tank === tank.id) at.set(m.startMs, (at.get(m.startMs) ?? 0) + a.litres);
    }
  }
  return [...at].map(([atMs, litres]) => ({ atMs, litres })).sort((a, b) => a.atMs - b.atMs);
}

/**
 * The lowest gauge pressure, kPa, that draws leave in a tank in its best case: at cut-out with the compressor still
 * running as the first draw comes. Null without draws.
 */
export function lowestKpa(tank: Tank, draws: readonly Draw[]): number | null {
  const [first] = draws;
  if (!first) return null;
  let level: TankLevel = { atMs: first.atMs, litres: freeLitres(tank, tank.cutOutKpa), pumping: true };
  let lowest = Number.POSITIVE_INFINITY;
  for (const d of draws) {
    if (d !== first) level = advance(tank, level, d.atMs);
    level = draw(tank, level, d.litres);
    lowest = Math.min(lowest, pressureKpa(tank, level.litres));
  }
  return lowest;
}

function checkDuties(yard: Yard, book: Book, scene: Scene, moves: readonly TimedMove[]): void {
  for (const id of scene.props) {
    const prop = yard.props.get(id)!;
    if (!prop.duty || !book.clean(['props', id, 'duty'])) continue;
    const its = moves.filter((m) => m.prop === id);
    const most = mostMoving(its, prop.duty.overMs);
    if (its.length < 2 || !above(most, prop.duty.on * prop.duty.overMs)) continue;
    tellDuty(book, scene, prop, most);
  }
}

function tellDuty(book: Book, scene: Scene, prop: Prop, mostMs: number): void {
  const { on, overMs } = prop.duty!;
  const say = `the scene \`${scene.id}\` can never run: it moves \`${prop.id}\` for ${writeTime(mostMs)} within ${writeTime(overMs)}, and its duty allows ${writeTime(on * overMs)} (${writeShare(on)}). Put a \`wait\` between its moves, or move it less.`;
  book.fail(
    ['scenes', scene.id, 'steps'],
    {
      say,
      wanted: `at most ${writeTime(on * overMs)} of moving in any ${writeTime(overMs)}`,
      example: 'wait: 30 s',
    },
    'key',
  );
}

/** The most that a prop moves in any window of that length, ms. Its moves do not overlap and come in order. */
export function mostMoving(moves: readonly TimedMove[], overMs: number): number {
  let most = 0;
  // Moving time in a window is greatest where the window begins with a move or ends with one.
  for (const edge of moves.flatMap((m) => [m.startMs, m.endMs - overMs])) {
    let sum = 0;
    for (const m of moves) sum += Math.max(0, Math.min(m.endMs, edge + overMs) - Math.max(m.startMs, edge));
    most = Math.max(most, sum);
  }
  return most;
}

function checkLength(yard: Yard, book: Book, scene: Scene, longest: Longest): void {
  const { moves, lengthMs } = timelineOf(yard, scene);
  const path: Path = ['scenes', scene.id, 'steps'];
  if (lengthMs > longest.closeMs) {
    const say = `the scene \`${scene.id}\` can never run: it takes ${writeTime(lengthMs)}, and the longest night is ${writeTime(longest.closeMs)}.`;
    return book.fail(
      path,
      { say, wanted: `a scene of at most ${writeTime(longest.closeMs)}`, example: 'shorter moves or waits' },
      'key',
    );
  }
  const loud = Math.max(0, ...moves.filter((m) => moveOf(yard, m.prop, m.move).loud).map((m) => m.endMs));
  if (loud > longest.loudMs) {
    const say = `the scene \`${scene.id}\` can never run: its last loud move ends ${writeTime(loud)} after it starts, and from open to quiet there are at most ${writeTime(longest.loudMs)}.`;
    book.fail(
      path,
      { say, wanted: `loud moves within ${writeTime(longest.loudMs)}`, example: 'loud moves first' },
      'key',
    );
  }
}
