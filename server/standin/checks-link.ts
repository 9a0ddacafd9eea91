import type { Prop } from '../yard/types.ts';
import type { Check } from './checks.ts';
import { notTried } from './checks.ts';
import { ANSWER_MS, type Examiner, SLACK_MS } from './examiner.ts';

/** Duties 1 and 2: power-up, the link, the readings, the beats. */
export const LINK_CHECKS: readonly Check[] = [
  {
    id: 'link',
    duty: 2,
    title: 'its link and every sensor stand retained on the bus, complete',
    means: 'A yard computer that starts later does not find it, or takes it for another.',
    moves: false,
    async run(x) {
      const { topics } = x;
      const senses = x.props.flatMap((q) => [...q.sensors.keys()].map((s) => topics.sense(q.id, s)));
      const kept = await x.bus.kept([topics.link(x.controller), ...senses]);
      const p = kept.get(topics.link(x.controller));
      if (!p) return 'its link is not retained';
      if (p.up !== true) return 'it is here, but its retained link says that it is down';
      const props = Array.isArray(p.props) ? p.props.map(String).sort().join(', ') : 'none';
      const wanted = x.props.map((q) => q.id).sort();
      if (props !== wanted.join(', '))
        return `its link names the props ${props}; the file has ${wanted.join(', ')}`;
      if (p.contract !== 1) return `contract ${JSON.stringify(p.contract)} instead of 1`;
      const odd = ['session', 'first'].find((k) => typeof p[k] !== 'string' || p[k] === '');
      const uncounted = ['stop', 'epoch'].find((k) => !isCount(p[k]));
      if (odd ?? uncounted) return `its link has no good '${odd ?? uncounted}'`;
      for (const prop of x.props) {
        for (const s of prop.sensors.keys()) {
          const r = kept.get(topics.sense(prop.id, s));
          if (!r) return `no retained reading of ${prop.id}.${s}`;
          if (r.prop !== prop.id || typeof r.made !== 'boolean' || !isCount(r.n)) {
            return `the reading of ${prop.id}.${s} lacks 'prop', 'made' or 'n'`;
          }
        }
      }
      return null;
    },
  },
  {
    id: 'announce',
    duty: 2,
    title: 'it answers announce with its link and every sensor',
    means:
      'After the bus was away the yard computer never learns where its props stand, and keeps them silent.',
    moves: false,
    async run(x) {
      const mark = x.mark();
      x.say(x.topics.announce, x.me);
      const told = () => x.links(mark).some((l) => x.readOut(mark, String(l.payload.session)));
      if (await x.bus.wait(ANSWER_MS, told)) return null;
      return x.links(mark).length === 0
        ? 'no link within 1.5 s'
        : 'a link, but not every sensor with its session';
    },
  },
  {
    id: 'beat',
    duty: 2,
    title: 'it beats at least each third of the silence, counted, with its session',
    means: 'The yard computer takes it for dead and sets its props aside, or can not see that it hangs.',
    moves: false,
    async run(x) {
      await x.bus.wait(SLACK_MS);
      const mark = x.mark();
      const fromMs = x.bus.nowMs();
      await x.bus.wait(6 * x.silenceMs);
      const beats = x.since(mark, x.topics.beat(x.controller));
      const times = [fromMs, ...beats.map((b) => b.atMs), x.bus.nowMs()];
      const gapMs = Math.max(...times.slice(1).map((t, i) => t - times[i]!));
      const allowedMs = x.silenceMs / 3;
      if (gapMs > allowedMs + SLACK_MS / 2) {
        return `${gapMs} ms without a beat; a third of ${x.silenceMs} ms is ${Math.round(allowedMs)} ms`;
      }
      if (beats.some((b) => b.payload.session !== x.session)) return 'beats without its present session';
      const counts = beats.map((b) => Number(b.payload.n));
      return counts.some((n, i) => i > 0 && n !== counts[i - 1]! + 1)
        ? `beats numbered ${counts.join(', ')}`
        : null;
    },
  },
  {
    id: 'late-will',
    duty: 2,
    title: 'it publishes its link again over a late will of its own',
    means: 'A will that comes late leaves it down on the bus for good, although it is there.',
    moves: false,
    async run(x) {
      const mark = x.mark();
      const link = x.topics.link(x.controller);
      x.say(link, { up: false, session: 'late-will' }, true);
      const planted = () => x.since(mark, link).some((h) => h.payload.session === 'late-will');
      if (!(await x.bus.wait(ANSWER_MS, planted)))
        return notTried('the broker lets no one else publish its link');
      if (await x.bus.wait(ANSWER_MS, () => x.links(mark).length > 0)) return null;
      x.say(x.topics.announce, x.me);
      return 'no link within 1.5 s of an up:false on its own topic';
    },
  },
  {
    id: 'back',
    duty: 2,
    title: 'it publishes its link and sensors again when the heartbeat is back after a silence',
    means: 'Its props stay unknown to the yard computer after every hiccup of the network.',
    moves: false,
    async run(x) {
      x.beat(false);
      await x.bus.wait(x.silenceMs + 2 * SLACK_MS);
      const mark = x.mark();
      x.beat(true);
      const told = () => x.links(mark).some((l) => x.readOut(mark, String(l.payload.session)));
      return (await x.bus.wait(ANSWER_MS, told)) ? null : 'not both within 1.5 s of the heartbeat';
    },
  },
];

/** The last of an examination: what the whole record shows, then what only a power cycle does, one for all. */
export const LAST_CHECKS: readonly Check[] = [
  {
    id: 'edges',
    duty: 2,
    title: 'it counts the edges of each sensor one by one',
    means: 'A reading that comes late can not be told from a new one.',
    moves: false,
    async run(x) {
      for (const p of x.props) {
        for (const s of p.sensors.keys()) {
          const told = x.since(0, x.topics.sense(p.id, s)).map((h) => h.payload);
          const bad = told.findIndex((r, i) => {
            const last = told[i - 1];
            return last && Number(r.n) !== Number(last.n) + (r.made === last.made ? 0 : 1);
          });
          if (bad > 0) return `${p.id}.${s} went from n ${told[bad - 1]!.n} to n ${told[bad]!.n}`;
        }
      }
      return null;
    },
  },
  {
    id: 'power-up',
    duty: 1,
    title: 'after power-up it links with a new session, which it names first, and moves nothing',
    means: 'A prop moves when power returns, with people walking the yard.',
    moves: false,
    async run(x, power) {
      const seen = await powerCycle(x, power);
      if (!seen) return NEEDS_POWER;
      const link = x.links(seen.mark)[0]?.payload;
      if (!link) return 'no link within a minute';
      if (link.session === seen.session) return 'it links with the session that it had before';
      const astray = x.props.find((p) => moved(x, seen.mark, p));
      if (astray) return `the sensors of ${astray.id} changed without a do`;
      const acted = x.props.find((p) => x.dids(seen.mark, p.id).some((d) => d.run !== seen.run));
      if (acted) return `${acted.id} told of a move that nobody sent`;
      return link.first === link.session
        ? null
        : `its first link names first ${link.first}, session ${link.session}`;
    },
  },
  {
    id: 'will',
    duty: 2,
    title: 'its will names the session with which the connection began',
    means: 'Its death is overlooked, or an old will takes a living board down.',
    moves: false,
    async run(x, power) {
      const seen = await powerCycle(x, power);
      if (!seen) return NEEDS_POWER;
      const wills = x.since(seen.mark, x.topics.link(x.controller)).filter((h) => h.payload.up === false);
      if (wills.length === 0) return 'no will';
      const { session } = wills[0]!.payload;
      return session === seen.first
        ? null
        : `its will names ${session}, its connection began as ${seen.first}`;
    },
  },
  {
    id: 'retained-do',
    duty: 3,
    title: 'it drops a do that the broker had kept',
    means: 'A message left over on the broker is taken for a present one each time the board boots.',
    moves: false,
    async run(x, power) {
      const seen = await powerCycle(x, power);
      if (!seen) return NEEDS_POWER;
      if (seen.run === null) return notTried('it drives nothing that moves');
      const did = x.props.flatMap((p) => x.dids(seen.mark, p.id, seen.run!))[0];
      return did ? `it answered '${did.is}' instead of dropping it` : null;
    },
  },
];

const NEEDS_POWER = notTried('it takes someone to cut and restore its power');

/** What was so when the power went: the record goes on from `mark`. */
interface Cycle {
  readonly mark: number;
  readonly session: string | null;
  readonly first: unknown;
  /** Of the do that was left on the broker. */
  readonly run: string | null;
}
const cycles = new WeakMap<Examiner, Promise<Cycle>>();

/** Cuts and restores the board's power, once for an examination. */
async function powerCycle(x: Examiner, power: (() => Promise<void>) | null): Promise<Cycle | null> {
  if (!power) return null;
  const once = cycles.get(x) ?? cycle(x, power);
  cycles.set(x, once);
  return once;
}

async function cycle(x: Examiner, power: () => Promise<void>): Promise<Cycle> {
  const prop = x.props.find((p) => p.moves.size > 0)?.id;
  const run = prop === undefined ? null : x.nextRun();
  if (prop !== undefined) {
    // Of a move that it does not have, so that nothing moves even if it takes it.
    const order = { prop, run, step: 0, move: 'no-such-move', session: 'kept', ...x.me, limitMs: 1000 };
    x.say(x.topics.order(prop), order, true);
    await x.bus.wait(ANSWER_MS, () => x.dids(0, prop, run!).length > 0);
  }
  const { session } = x;
  const seen: Cycle = { mark: x.mark(), session, first: x.links(0).at(-1)?.payload.first, run };
  await power();
  await x.bus.wait(60_000, () => x.links(seen.mark).length > 0);
  await x.bus.wait(3000);
  if (prop !== undefined) x.bus.publish(x.topics.order(prop), '', true, 1);
  return seen;
}

/** Whether any of the prop's sensors reads otherwise since then than the last time before. */
function moved(x: Examiner, mark: number, prop: Prop): boolean {
  return [...prop.sensors.keys()].some((s) => {
    const topic = x.topics.sense(prop.id, s);
    const after = x.since(mark, topic).map((h) => h.payload.made);
    const before = x.record.slice(0, mark).findLast((h) => h.topic === topic)?.payload.made;
    return after.some((made) => made !== before);
  });
}

function isCount(value: unknown): boolean {
  return Number.isInteger(value) && (value as number) >= 0;
}
