import type { Check, Finding } from './checks.ts';
import { NOTHING_TO_MOVE } from './checks.ts';
import { ANSWER_MS, type Choice, type Examiner, SLACK_MS, type Trial } from './examiner.ts';

/** Duties 5 and 6: silence, higher desks, stop. */
export const STOP_CHECKS: readonly Check[] = [
  {
    id: 'silence',
    duty: 5,
    title: 'without a heartbeat it lets go within the silence and makes a new session',
    means: 'With the yard computer or the Wi-Fi dead the prop runs on: nothing else would stop it.',
    moves: true,
    run: (x) => goesSilent(x, () => x.beat(false)),
  },
  {
    id: 'lower-desk',
    duty: 5,
    title: 'the heartbeat of a lower desk does not keep it going',
    means: 'An old yard computer left running somewhere keeps a prop moving after its own has died.',
    moves: true,
    run: (x) => goesSilent(x, () => x.beat(true, { epoch: x.me.epoch - 1 })),
  },
  {
    id: 'stop',
    duty: 6,
    title: 'a stop takes the outputs off at once and is answered: stopped, new session, link with its number',
    means: 'STOP ALL does not stop this board, or nobody can tell that it did.',
    moves: true,
    run: (x) => obeys(x, () => x.stopAll()),
  },
  {
    id: 'stop-heartbeat',
    duty: 6,
    title: 'a stop that it hears only by the heartbeat is obeyed in the same way',
    means: 'A board that missed the one stop message runs on.',
    moves: true,
    run: (x) =>
      obeys(x, () => {
        x.stop += 1;
        x.latched = true;
        x.beat(true, { stop: x.stop });
        return x.stop;
      }),
  },
  {
    id: 'stop-again',
    duty: 6,
    title: 'the same stop again changes nothing',
    means: 'It answers each repeat with a new session, and the roll call never ends.',
    moves: false,
    async run(x) {
      const n = x.stopAll();
      await x.bus.wait(ANSWER_MS, () =>
        x.since(0, x.topics.stopped(x.controller)).some((h) => h.payload.n === n),
      );
      await x.bus.wait(x.silenceMs / 2);
      const { session } = x;
      for (let i = 0; i < 5; i += 1) {
        x.say(x.topics.stop, { latched: true, n, ...x.me }, true);
        x.heartbeat({ stop: n });
        await x.bus.wait(SLACK_MS);
      }
      return x.session === session ? null : 'it made a new session';
    },
  },
  {
    id: 'stop-refuses',
    duty: 6,
    title: 'while a stop is latched it refuses every do',
    means: 'Something moves between the stop and the person who clears it.',
    moves: false,
    async run(x) {
      const [choice] = x.choices();
      if (!choice) return NOTHING_TO_MOVE;
      await latch(x);
      return stillStopped(x, choice, 'with the stop latched');
    },
  },
  {
    id: 'clear',
    duty: 6,
    title: 'only the desk it follows clears a stop, by the same or a higher number',
    means: 'A late or foreign message releases a stop that a person pressed; or no one can release it.',
    moves: true,
    async run(x) {
      const [choice] = x.choices();
      if (!choice) return NOTHING_TO_MOVE;
      const n = await latch(x);
      const wrong: [string, () => void][] = [
        ['after a clear of a lower number', () => x.clear(n - 1)],
        ['after a clear by a lower desk', () => x.clear(n, { epoch: x.me.epoch - 1 })],
      ];
      for (const [when, act] of wrong) {
        act();
        await x.bus.wait(SLACK_MS);
        const finding = await stillStopped(x, choice, when);
        if (finding !== null) return finding;
      }
      x.clear(n);
      x.latched = false;
      await x.bus.wait(SLACK_MS);
      const trial = await x.begin(choice);
      const [answer] = x.dids(trial.mark, choice.prop.id, trial.run);
      return answer?.is === 'refused' ? `cleared by its number, it still refused: ${answer.why}` : null;
    },
  },
  {
    id: 'stop-late',
    duty: 6,
    title: 'a heartbeat that still bears a cleared stop has no effect',
    means: 'Right after a clear the yard stops again by itself, with nothing to clear.',
    moves: false,
    async run(x) {
      const n = await latch(x);
      x.clear(n);
      x.latched = false;
      await x.bus.wait(x.silenceMs / 2);
      const { session } = x;
      const mark = x.mark();
      x.heartbeat({ stop: n });
      await x.bus.wait(ANSWER_MS);
      if (x.since(mark, x.topics.stopped(x.controller)).length > 0) return 'it obeyed it anew';
      return x.session === session ? null : 'it made a new session';
    },
  },
  {
    id: 'higher-epoch',
    duty: 5,
    title: 'it follows a desk of a higher epoch, and lets go of what the former began',
    means: 'After a restart of the yard computer an old start may still be under way.',
    moves: true,
    run: (x) => follows(x, { desk: 'a-new-desk', epoch: x.me.epoch + 1 }),
  },
  {
    id: 'greater-word',
    duty: 5,
    title: 'of two desks with equal epochs it follows the greater word',
    means: 'Two yard computers with the same number can both drive it.',
    moves: true,
    run: (x) => follows(x, { desk: `${x.me.desk}-z`, epoch: x.me.epoch }),
  },
];

/** The longest move that may be tried; only one that would outlast the silence shows that its outputs went off. */
function longest(x: Examiner): Choice | undefined {
  return x.choices()[0];
}

/** Takes the heartbeat away while something moves, and sees that it lets go in time. */
async function goesSilent(x: Examiner, hush: () => void): Promise<Finding> {
  const choice = longest(x);
  const trial = choice ? await x.begin(choice) : null;
  const before = x.session;
  x.beat(false);
  hush();
  // The next beat after the silence bears the new session.
  const dueMs = x.silenceMs + x.silenceMs / 3 + 2 * SLACK_MS;
  const isNew = await x.bus.wait(dueMs, () => x.session !== before);
  const silent = x.mark();
  const going = underWay(x, trial);
  if (going) await x.bus.wait(going.move.usualMs * 1.3);
  if (!isNew) return `no new session ${Math.round(dueMs)} ms after the last heartbeat`;
  return going && x.arrived(going, silent) ? wentOn(going) : null;
}

/** Stops while something moves, in the way given, which answers the stop's number. */
async function obeys(x: Examiner, stopIt: () => number): Promise<Finding> {
  const choice = longest(x);
  const trial = choice ? await x.begin(choice) : null;
  const before = x.session;
  const mark = x.mark();
  const n = stopIt();
  const stopped = () => x.since(mark, x.topics.stopped(x.controller)).find((h) => h.payload.n === n)?.payload;
  const link = () => x.links(mark).find((l) => Number(l.payload.stop) >= n)?.payload;
  await x.bus.wait(ANSWER_MS, () => stopped() !== undefined && link() !== undefined);
  const after = x.mark();
  const going = underWay(x, trial);
  await x.bus.wait(trial ? trial.move.usualMs * 1.3 : SLACK_MS);
  if (!stopped()) return `no 'stopped' with n ${n} within 1.5 s`;
  if (stopped()!.safe !== true) return "'stopped' without safe:true";
  if (!link()) return `no link with stop ${n}`;
  if (link()!.session === before) return 'no new session';
  if (stopped()!.session !== link()!.session) return "'stopped' and link bear different sessions";
  if (!x.readOut(mark, String(link()!.session))) return 'not every sensor was published with the new session';
  return going && x.arrived(going, after) ? wentOn(going) : null;
}

/** The trial, unless it had arrived already and so shows nothing of what comes after. */
function underWay(x: Examiner, trial: Trial | null): Trial | null {
  return trial && !x.arrived(trial, trial.mark) ? trial : null;
}

async function latch(x: Examiner): Promise<number> {
  const n = x.stopAll();
  const mark = x.mark();
  await x.bus.wait(ANSWER_MS, () => x.links(mark).some((l) => Number(l.payload.stop) >= n));
  await x.bus.wait(x.silenceMs / 2);
  return n;
}

async function stillStopped(x: Examiner, choice: Choice, when: string): Promise<Finding> {
  const trial = await x.begin(choice);
  const [answer] = x.dids(trial.mark, choice.prop.id, trial.run);
  if (answer?.is === 'refused' && answer.why === 'stopped') return null;
  const seen = answer
    ? `'${answer.is}'${answer.why === undefined ? '' : `, why '${answer.why}'`}`
    : 'nothing';
  return `${when} it answered ${seen} instead of 'refused', why 'stopped'`;
}

/** Lets a higher desk be heard while something moves by the former; the examiner goes on as that one if followed. */
async function follows(x: Examiner, higher: { desk: string; epoch: number }): Promise<Finding> {
  const choice = longest(x);
  const trial = choice ? await x.begin(choice) : null;
  const before = x.session;
  const mark = x.mark();
  x.beat(false);
  x.heartbeat(higher);
  const link = () => x.links(mark).find((l) => l.payload.session !== before)?.payload;
  const inTime = await x.bus.wait(Math.min(ANSWER_MS, x.silenceMs / 2), () => link() !== undefined);
  if (!inTime) {
    await x.bus.wait(ANSWER_MS);
    return 'no link with a new session';
  }
  const after = x.mark();
  const going = underWay(x, trial);
  const former = x.me;
  x.me = higher;
  x.say(x.topics.desk, { up: true, ...higher, contract: 1 }, true);
  x.beat(true);
  await x.bus.wait(trial ? trial.move.usualMs * 1.3 : SLACK_MS);
  if (link()!.epoch !== higher.epoch)
    return `its link names epoch ${link()!.epoch} instead of ${higher.epoch}`;
  if (going && x.arrived(going, after)) return wentOn(going);
  if (!choice) return null;
  const late = await x.begin(choice, { ...former });
  const [answer] = x.dids(late.mark, choice.prop.id, late.run);
  return answer?.is === 'refused' && answer.why === 'epoch'
    ? null
    : "it did not refuse the former desk's do as 'epoch'";
}

function wentOn(trial: Trial): string {
  return `it said so, but ${trial.prop.id}.${trial.move.id} went on to its end`;
}
