import { describe, expect, it } from 'vitest';
import { sumOf } from '../../server/backup/manifest.ts';
import { differenceOf } from '../../server/file/difference.ts';
import { replay } from '../../server/journal/replay.ts';
import { LiveYard } from '../../server/live-yard.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import type { Yard } from '../../server/yard/types.ts';
import { type Hand, opened } from '../show/hand.ts';
import { LANDING, NIGHT, yardOf } from '../show/landing.ts';
import { type Rig, rigOf } from './rig.ts';

const RUN = { kind: 'sceneAsked', by: 'ann', scene: 'crossing' } as const;
const BY = 'Wren';

interface Live {
  readonly rig: Rig;
  readonly hand: Hand;
  readonly live: LiveYard;
  /** Saves the landing with each text put for another. */
  save(...changes: readonly (readonly [from: string, to: string])[]): void;
  limit(): number;
}

/** An open yard on the landing, its desk, and the file beside it. */
function open(night: NightTimes | null = NIGHT): Live {
  const yard = yardOf(LANDING);
  const hand = opened(yard);
  const rig = rigOf(hand.show, hand.at);
  rig.journal.keepYard('rig', LANDING);
  const live: LiveYard = new LiveYard(
    { text: LANDING, hash: 'rig', yard },
    {
      show: () => rig.desk.show,
      night: () => night,
      exchange: (file, fact, fits) => rig.desk.exchange(file.yard, file.text, file.hash, fact, fits),
      saved: () => {},
      exchanged: () => rig.done.push('exchanged'),
    },
  );
  return {
    rig,
    hand,
    live,
    save(...changes) {
      let text = LANDING;
      for (const [from, to] of changes) {
        expect(text).toContain(from);
        text = text.replaceAll(from, to);
      }
      live.want({ text, hash: sumOf(text), yard: yardOf(text) }, differenceOf(live.held.text, text), BY);
    },
    limit: () => rig.desk.show.yard.props.get('ferry')!.moves.get('out')!.limitMs,
  };
}

const LIMIT = ['limit: 10 s', 'limit: 12 s'] as const;

/** From the record alone: the same state as memory had, under the file that then held. */
function expectReplays({ rig }: Live): void {
  rig.desk.end();
  const yards = new Map<string, Yard>();
  const at = (hash: string): Yard => {
    const yard = yards.get(hash) ?? yardOf(rig.journal.yardText(hash)!);
    yards.set(hash, yard);
    return yard;
  };
  const report = replay<Show>({
    journal: rig.journal,
    load: (state, hash) => loadShow(state, at(hash)),
    save: saveShow,
    step: (show, event) => step(show, event).show,
  });
  expect(report.difference).toBe(null);
  expect(report.events).toBe(rig.journal.events(0, 10_000).length);
  expect(rig.journal.latestSnapshot()!.state).toBe(saveShow(rig.desk.show));
  expect(rig.breaches).toEqual([]);
}

const boards = ({ rig, hand }: Live, ms: number): void => {
  for (let t = 0; t < ms; t += 250) {
    for (const c of hand.yard.controllers.keys()) rig.desk.beat(c, hand.session(c));
    rig.clock.pass(250);
  }
};

describe('a yard file that is saved', () => {
  it('holds at once where all that it touches is at rest, and says so in the record', () => {
    const it = open();
    it.save(LIMIT);
    expect([it.limit(), it.live.waits(), it.live.pending]).toEqual([12_000, null, false]);
    expect(it.live.held.text).toContain('limit: 12 s');
    it.rig.clock.pass(2000);
    const lines = it.rig.journal.lines(0, 1000).filter((line) => line.code === 'yard-changed');
    expect(lines.map(({ reason }) => JSON.parse(reason))).toEqual([
      { code: 'yard-changed', by: BY, changes: 2 },
    ]);
    // The text that holds is in the record, with the state that was carried over to it.
    expect(it.rig.journal.yardText(it.live.held.hash)).toBe(it.live.held.text);
    expectReplays(it);
  });

  it('waits for the prop that moves, lets all else go on, and holds once it rests', async () => {
    const it = open();
    expect(await it.rig.ask(RUN)).toBe(null);
    it.save(LIMIT);
    expect(it.live.waits()).toEqual({ when: 'rest', props: ['ferry'], scenes: [] });
    expect(it.limit()).toBe(10_000);
    // A stop ends the run; the ferry is let go of once its board has answered.
    it.rig.desk.stop('page');
    for (const c of it.hand.yard.controllers.keys())
      it.rig.desk.fact({
        kind: 'stoppedHeard',
        controller: c,
        stop: 1,
        session: it.hand.session(c),
        safe: true,
      });
    for (const c of it.hand.yard.controllers.keys())
      it.rig.desk.fact({
        kind: 'linkHeard',
        controller: c,
        up: true,
        session: 'anew',
        first: 'anew',
        props: it.hand.yard.controllers.get(c)!,
        stop: 1,
        epoch: it.rig.desk.show.desk.epoch,
        retained: false,
      });
    it.rig.clock.settle();
    it.live.look();
    expect([it.limit(), it.live.waits()]).toEqual([12_000, null]);
    expect(it.rig.desk.show.stop.latched).toBe(true);
    expectReplays(it);
  });

  it('changes nothing under way: the run goes on with the load and the limit that it had', async () => {
    const it = open();
    await it.rig.ask(RUN);
    const before = JSON.stringify(it.rig.desk.show.runs);
    it.save(['title: Bell', 'title: The great bell']);
    expect(it.rig.desk.show.yard.props.get('bell')!.title).toBe('The great bell');
    expect(JSON.stringify(it.rig.desk.show.runs)).toBe(before);
    expect(it.rig.desk.show.props.ferry!.flight!.move).toBe('out');
    boards(it, 750);
    expect(it.rig.done.filter((d) => d.startsWith('do '))).toEqual(['do ferry.out']);
    expectReplays(it);
  });

  it('moves nothing by itself, nor lets what waited before it move by another file than it was judged by', async () => {
    const it = open();
    const asked = it.rig.desk.ask(RUN);
    it.save(LIMIT);
    // The press came first: it is taken under the file that was, and the new one waits for it.
    expect(await asked).toEqual({ ok: true });
    expect([it.limit(), it.live.waits()?.props]).toEqual([10_000, ['ferry']]);
    expectReplays(it);
  });

  it('waits for the yard to be closed where boards come and go', () => {
    const it = open();
    it.save(['  path-mat:', '  gull: {title: Gull, moves: {turn: {lasts: 5 s}}}\n  path-mat:']);
    expect(it.live.waits()).toEqual({ when: 'closed', props: [], scenes: [] });
    expect(it.rig.desk.show.yard.props.has('gull')).toBe(false);
  });

  it('in a closed yard holds at once, asks new boards who they are, and forgets no lockout of what is gone', async () => {
    const it = open();
    await it.rig.ask({ kind: 'lockoutAsked', by: BY, prop: 'path-mat', why: 'torn' });
    await it.rig.ask({ kind: 'closeAsked', by: BY });
    boards(it, 3000);
    expect(it.rig.desk.show.mode).toBe('closed');
    it.rig.done.length = 0;
    const mat = '  path-mat: {title: Path mat, sensors: {step: plain}}\n';
    const gull = '  gull: {title: Gull, moves: {turn: {lasts: 5 s}}}\n';
    it.save([mat, gull], ['    on: path-mat.step\n    again-after: 30 s\n', '']);
    expect(it.rig.desk.show.props.gull).toBeDefined();
    expect(it.rig.desk.show.props['path-mat']).toBe(undefined);
    expect(it.rig.done).toContain('announce');
    expect(it.rig.done.filter((d) => d.startsWith('do '))).toEqual([]);
    // A beat of a board that is in the file no more, still in some queue, harms nobody.
    it.rig.desk.beat('path-mat', 'late');
    boards(it, 500);
    it.save();
    expect(it.rig.desk.show.props['path-mat']!.lockout).toMatchObject({
      fault: { code: 'by-hand', why: 'torn' },
    });
    expectReplays(it);
  });

  it('of the bus waits for the next start, and so does all that was saved with it', () => {
    const it = open();
    it.save(['silence: 1 s', 'silence: 2 s']);
    expect(it.live.waits()).toEqual({ when: 'start', props: [], scenes: [] });
    expect(it.live.pending).toBe(true);
    // Saved back: nothing waits any more.
    it.live.want(it.live.held, [], BY);
    expect(it.live.pending).toBe(false);
  });

  it('with other hours holds tonight where tonight is still a night of it, else once the yard is closed', () => {
    const later = { ...NIGHT, closeMs: NIGHT.closeMs - 1_800_000 };
    const it = open(later);
    it.save(['close: "22:00"', 'close: "21:30"']);
    expect(it.rig.desk.show.night).toEqual(later);
    expectReplays(it);
    const other = open(null);
    other.save(['close: "22:00"', 'close: "21:30"']);
    expect(other.live.waits()?.when).toBe('closed');
    expect(other.rig.desk.show.night).toEqual(NIGHT);
  });

  it('does not hold where the record can’t take it, and the file before goes on', () => {
    const it = open();
    it.rig.failing.record = 'the disk is full';
    it.rig.desk.tell({ kind: 'clockStepped', offsetMs: 5 });
    it.rig.clock.settle();
    it.save(LIMIT);
    expect([it.limit(), it.live.pending]).toEqual([10_000, true]);
    it.rig.failing.record = null;
    boards(it, 3000);
    it.live.look();
    expect(it.limit()).toBe(12_000);
    expectReplays(it);
  });

  it('of two saved one after the other only the last holds', async () => {
    const it = open();
    await it.rig.ask(RUN);
    it.save(LIMIT);
    it.save(['title: Bell', 'title: The great bell']);
    expect(it.limit()).toBe(10_000);
    expect(it.live.held.text).toContain('great bell');
    expect(it.live.held.text).not.toContain('12 s');
  });
});
