import type { Check, Finding } from './checks.ts';
import { NOTHING_TO_MOVE, notTried } from './checks.ts';
import { ANSWER_MS, type Choice, type Examiner, SLACK_MS, type Trial } from './examiner.ts';

/** Duties 3, 4, 7 and 8: what it carries out, what it refuses, how it ends. */
export const ORDER_CHECKS: readonly Check[] = [
  {
    id: 'refuse-session',
    duty: 3,
    title: 'it refuses a do of any session but its present one',
    means: 'A start that was held up on the way moves the prop after a person has stepped in.',
    moves: false,
    run: (x) => refuses(x, 'session', [{ session: 'not-this' }]),
  },
  {
    id: 'refuse-epoch',
    duty: 3,
    title: 'it refuses a do of any desk but the one it follows',
    means: 'Two yard computers can drive the same prop against each other.',
    moves: false,
    run: (x) =>
      refuses(x, 'epoch', [{ epoch: x.me.epoch - 1 }, { epoch: x.me.epoch + 1 }, { desk: 'someone-else' }]),
  },
  {
    id: 'refuse-unknown',
    duty: 3,
    title: 'it refuses a move that it does not have',
    means: 'A mistyped move leaves the yard computer waiting, or moves the wrong thing.',
    moves: false,
    run: (x) => refuses(x, 'unknown', [{ move: 'no-such-move' }]),
  },
  {
    id: 'refuse-heartbeat',
    duty: 3,
    title: 'it refuses a do while the heartbeat is missing',
    means: 'A prop starts although nobody could stop it.',
    moves: false,
    async run(x) {
      x.beat(false);
      await x.bus.wait(x.silenceMs + 2 * SLACK_MS + x.silenceMs / 3);
      return refuses(x, 'heartbeat', [{}]);
    },
  },
  {
    id: 'wrong-prop',
    duty: 3,
    title: 'it acts on no do whose payload names another prop than its topic',
    means: 'A message on the wrong topic moves a prop that nobody meant.',
    moves: false,
    async run(x) {
      const [choice] = x.choices();
      if (!choice) return NOTHING_TO_MOVE;
      const trial = x.order(choice, { prop: 'another-prop' });
      await x.bus.wait(ANSWER_MS);
      return x.dids(trial.mark, choice.prop.id).some((d) => d.is === 'started') ? 'it started' : null;
    },
  },
  {
    id: 'malformed',
    duty: 3,
    title: 'it lives through what is no message, and takes keys that it does not know',
    means: 'One stray message on the bus takes the board out, or a newer yard computer can not use it.',
    moves: true,
    async run(x) {
      const [choice] = x.choices();
      const topics = [x.topics.heartbeat, x.topics.stop, x.topics.desk, x.topics.announce];
      const orders = x.props.flatMap((p) => [x.topics.order(p.id), x.topics.halt(p.id)]);
      const { session } = x;
      const mark = x.mark();
      for (const topic of [...topics, ...orders]) {
        // announce means the same whatever is in it
        for (const junk of ['', 'null', '[1]', '{"epoch":"x"}', '{', '\u0000']) {
          if (topic !== x.topics.announce) x.bus.publish(topic, junk, false, 1);
        }
      }
      await x.bus.wait(x.silenceMs);
      if (x.since(mark, x.topics.beat(x.controller)).length === 0) return 'no beat any more';
      if (x.session !== session) return 'it made a new session';
      if (!choice) return null;
      const trial = await x.begin(choice, { sparkle: true });
      const [answer] = x.dids(trial.mark, choice.prop.id, trial.run);
      return answer?.is === 'refused' ? `it refused a do with one key more: ${answer.why}` : null;
    },
  },
  {
    id: 'moves',
    duty: 4,
    title: 'each move is started, and done by itself at its sensor or after its time',
    means: 'The yard computer can not tell that the prop moves, or where it has got to.',
    moves: true,
    run: tryEachMove,
  },
  {
    id: 'busy',
    duty: 3,
    title: 'it refuses a second do while the prop moves, and goes on with the first',
    means: 'A second order turns a moving prop round.',
    moves: true,
    async run(x) {
      const [choice] = x.choices();
      if (!choice) return NOTHING_TO_MOVE;
      const first = await x.begin(choice);
      const second = await x.begin(choice);
      const [answer] = x.dids(second.mark, choice.prop.id, second.run);
      await x.ended(first);
      if (answer?.is !== 'refused' || answer.why !== 'busy') return `it answered ${told(answer)}`;
      return x.arrived(first, first.mark) ? null : 'the first move did not go on to its end';
    },
  },
  {
    id: 'twice',
    duty: 3,
    title: 'the same run and step again gets the latest answer and is not carried out',
    means: 'A message that the network doubles moves the prop twice.',
    moves: true,
    async run(x) {
      const [choice] = x.choices();
      if (!choice) return NOTHING_TO_MOVE;
      const trial = await x.begin(choice);
      const again = await x.begin(choice, { run: trial.run });
      const [during] = x.dids(again.mark, choice.prop.id, trial.run);
      await x.ended(again);
      const third = await x.begin(choice, { run: trial.run });
      await x.bus.wait(2 * SLACK_MS);
      const after = x.dids(third.mark, choice.prop.id, trial.run);
      if (during?.is !== 'started') return `while it moved it answered ${told(during)} instead of 'started'`;
      if (after[0]?.is === 'done' && after.length === 1) return null;
      return `after it was done it answered ${after.map(told).join(', ') || 'nothing'} instead of 'done'`;
    },
  },
  {
    id: 'limit',
    duty: 4,
    title: 'it fails a move itself when its limit has passed, and lets go',
    means: 'A jammed motor burns where the network is down: the board is the second watch.',
    moves: true,
    async run(x) {
      const choice = x.choices().find((c) => c.move.usualMs >= 3 * SLACK_MS);
      if (!choice) return NOTHING_TO_MOVE;
      const limitMs = Math.round(choice.move.usualMs / 3);
      const fromMs = x.bus.nowMs();
      const trial = x.order(choice, { limitMs });
      const failed = () => x.dids(trial.mark, choice.prop.id, trial.run).find((d) => d.is === 'failed');
      const inTime = await x.bus.wait(limitMs + 2 * SLACK_MS, () => failed() !== undefined);
      const afterMs = x.bus.nowMs() - fromMs;
      const mark = x.mark();
      await x.bus.wait(choice.move.usualMs);
      if (!inTime) return `no 'failed' within ${limitMs + 2 * SLACK_MS} ms of a limit of ${limitMs} ms`;
      if (failed()!.why !== 'limit') return `failed, but why '${failed()!.why}'`;
      if (afterMs < limitMs - SLACK_MS)
        return `failed after ${afterMs} ms, before its limit of ${limitMs} ms`;
      return x.arrived(trial, mark) ? 'it said so, but went on' : null;
    },
  },
  {
    id: 'halt',
    duty: 7,
    title: 'it halts a prop at once, moving or at rest, answers, and keeps its session',
    means: 'A figure can not be stopped when its carriage leaves it, and the whole yard stops for it.',
    moves: true,
    async run(x) {
      const choice = x.choices().find((c) => c.move.usualMs >= 3 * SLACK_MS);
      if (!choice) return NOTHING_TO_MOVE;
      const trial = await x.begin(choice);
      const { session } = x;
      const halted = async () => {
        const mark = x.mark();
        x.halt(choice.prop.id);
        return x.bus.wait(1000, () => x.dids(mark, choice.prop.id).some((d) => d.is === 'halted'));
      };
      const moving = await halted();
      const mark = x.mark();
      await x.bus.wait(choice.move.usualMs * 1.3);
      if (!moving) return "no 'halted' within 1 s";
      if (x.arrived(trial, mark)) return 'it said so, but went on';
      if (x.session !== session) return 'it made a new session, which voids its other moves';
      return (await halted()) ? null : "at rest no 'halted' within 1 s";
    },
  },
];

/** Each wrong `do` must be refused with this reason, and nothing may start. */
async function refuses(x: Examiner, why: string, overs: readonly object[]): Promise<Finding> {
  const [choice] = x.choices();
  if (!choice) return NOTHING_TO_MOVE;
  for (const over of overs) {
    const trial = await x.begin(choice, { ...over });
    const answers = x.dids(trial.mark, choice.prop.id, trial.run);
    const [answer] = answers;
    if (answer?.is !== 'refused' || answer.why !== why) {
      return `to ${JSON.stringify(over)} it answered ${told(answer)} instead of 'refused', why '${why}'`;
    }
  }
  return null;
}

/** Tries every move that its needs let be tried, each once, in whatever order makes them hold. */
async function tryEachMove(x: Examiner): Promise<Finding> {
  const tried = new Set<string>();
  const key = ({ prop, move }: Choice) => `${prop.id}.${move.id}`;
  for (;;) {
    const next = x.choices().find((c) => !tried.has(key(c)));
    if (!next) break;
    tried.add(key(next));
    const trial = await x.begin(next);
    await x.ended(trial);
    await x.bus.wait(2 * SLACK_MS);
    const wrong = judgeMove(x, trial);
    if (wrong) return `${key(next)}: ${wrong}`;
  }
  const all = x.props.flatMap((prop) => [...prop.moves.values()].map((move) => key({ prop, move })));
  if (all.length === 0) return notTried('it drives nothing that moves');
  const left = all.filter((k) => !tried.has(k));
  return tried.size === 0 ? notTried(`the needs of ${left.join(', ')} do not hold`) : null;
}

function judgeMove(x: Examiner, { prop, move, run, mark }: Trial): string | null {
  const dids = x.dids(mark, prop.id, run);
  const [started, done, more] = dids;
  if (started?.is !== 'started') return `it answered ${told(started)} instead of 'started'`;
  if (done?.is !== 'done' || more)
    return `after 'started' came ${dids.slice(1).map(told).join(', ') || 'nothing'}`;
  const odd = dids.find(
    (d) => d.prop !== prop.id || d.step !== 0 || d.move !== move.id || d.session !== x.session,
  );
  if (odd) return `its '${odd.is}' names another prop, step, move or session`;
  if (!Number.isInteger(done.ms)) return "its 'done' has no 'ms'";
  if (move.until === null) return null;
  return x.madeSince({ prop, move }, mark) ? null : `done, but ${move.until} was never made`;
}

function told(did: Readonly<Record<string, unknown>> | undefined): string {
  if (!did) return 'nothing';
  return did.why === undefined ? `'${did.is}'` : `'${did.is}', why '${did.why}'`;
}
