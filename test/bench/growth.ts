import { Desk } from '../../server/desk.ts';
import { changeOf } from '../../server/door.ts';
import { readYard } from '../../server/file/read.ts';
import { memoryJournal } from '../../server/journal/memory.ts';
import { pictureOf } from '../../server/picture-of.ts';
import { VirtualClock } from '../../server/rehearse/virtual-clock.ts';
import type { BusFact } from '../../server/show/events.ts';
import { newShow } from '../../server/show/fresh.ts';
import { saveShow } from '../../server/show/save.ts';
import { wordsOf } from '../../server/words-of.ts';
import type { Yard } from '../../server/yard/types.ts';
import { growthRows, median, type Row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const SIZES = [10, 100, 1000];
const WORD = 'bench';
const TIMES = 9;
/** Turns or pictures timed as one, so that the clock's own grain does not count. */
const IN_ONE = 20;

/**
 * A turn with one reading (step, invariants, record kept in memory, the timer), the picture of the yard with what changed
 * since the one before, and the state as a snapshot keeps it, at 10, 100 and 1,000 props.
 */
export async function benchGrowth(): Promise<Row[]> {
  const [turns, pictures, snapshots]: [number[], number[], number[]] = [[], [], []];
  for (const size of SIZES) {
    const read = readYard(pairsYard(size / 2, 1883));
    if (!read.ok) throw new Error(`the bench's yard: ${read.errors[0]!.message}`);
    const { desk, reading } = openDesk(read.yard);
    const turn = (): void => desk.now(reading());
    turns.push(timed(turn));
    let picture = draw(desk);
    pictures.push(
      timed(() => {
        turn();
        const next = draw(desk);
        if (!changeOf(picture, next)) throw new Error('a reading changed nothing that a page shows');
        picture = next;
      }) - turns.at(-1)!,
    );
    snapshots.push(timed(() => saveShow(desk.show)));
  }
  return [
    ...growthRows('turn', SIZES, turns),
    ...growthRows('picture', SIZES, pictures),
    ...growthRows('snapshot', SIZES, snapshots),
  ];
}

/** A desk whose boards have all linked, in an open yard; `reading` is the next edge of some boat's mat. */
function openDesk(yard: Yard): { desk: Desk; reading: () => BusFact } {
  const clock = new VirtualClock(Date.UTC(2026, 9, 31, 20));
  const sent = (): boolean => true;
  const desk = new Desk(
    {
      clock,
      bus: {
        connected: true,
        startMove: sent,
        haltProp: sent,
        stop: sent,
        announce: sent,
        notice: sent,
        desk: sent,
        heartbeat: sent,
      },
      journal: memoryJournal(),
      numbers: { tryWrite: () => true },
      yardHash: 'bench',
      word: WORD,
      tell: (entry) => entry.reason.code,
      log: { info() {}, warn() {}, error() {} },
      onTurn() {},
      onMend() {},
      onBreach(text) {
        throw new Error(text);
      },
    },
    newShow(yard),
  );
  const start = { epoch: 1, word: WORD, offsetMs: 0, stop: 0, cleared: 0, night: null };
  desk.now({ kind: 'deskStarted', ...start });
  desk.now({ kind: 'busConnected' });
  for (const [controller, props] of yard.controllers) {
    const session = `s-${controller}`;
    const link = {
      controller,
      up: true,
      session,
      first: session,
      stop: 0,
      epoch: 1,
      retained: false,
    } as const;
    desk.now({ kind: 'linkHeard', ...link, props: [...props] });
    for (const prop of props)
      for (const sensor of yard.props.get(prop)!.sensors.keys())
        desk.now(sense(yard, prop, sensor, sensor === 'near', 1));
  }
  const boats = [...yard.props.values()].filter((p) => p.sensors.has('mat'));
  let n = 1;
  const reading = (): BusFact => {
    n += 1;
    const made = Math.floor(n / boats.length) % 2 > 0;
    return sense(yard, boats[n % boats.length]!.id, 'mat', made, n);
  };
  // each mat is made and not made by turns: one round, so that every reading after it is an edge
  for (let i = 0; i < boats.length; i++) desk.now(reading());
  return { desk, reading };
}

function sense(yard: Yard, prop: string, sensor: string, made: boolean, count: number): BusFact {
  const session = `s-${yard.props.get(prop)!.controller}`;
  return { kind: 'sensorChanged', prop, sensor, made, session, count, retained: false };
}

function draw(desk: Desk) {
  const words = wordsOf(desk.show, desk.at);
  return pictureOf(desk.show, { seq: 1, at: desk.at, demonstration: false, words, notes: [] });
}

/** ms for one, the median of some. */
function timed(work: () => unknown): number {
  const took: number[] = [];
  for (let k = 0; k < TIMES + 2; k++) {
    const before = performance.now();
    for (let i = 0; i < IN_ONE; i++) work();
    took.push((performance.now() - before) / IN_ONE);
  }
  // the first ones are still being compiled
  return median(took.slice(2));
}
