import type { Heard } from './ear.ts';

/*
 * What may never be seen on the bus, whatever breaks: read off what a bystander heard, in order. A bystander that was
 * away itself may have missed something, so nothing is concluded from what it did not hear.
 */

/** A `do` is sent again 1 s after the first, and a board begins at once; more than this after the last one is late. */
const LATE_MS = 2500;

interface Told {
  readonly run: string;
  readonly step: number;
  readonly times: number;
  readonly at: number;
}

export interface WatchOptions {
  /** The controller of a prop, where it is not of the prop's own name. */
  readonly controllerOf?: (prop: string) => string;
  /** A figure that needs its carriage at an end: prop and move, and the sensor that must be made. */
  readonly needs?: readonly { prop: string; move: string; of: string; sensor: string }[];
  /** Two desks, each with a record of its own, name their runs alike: then only what begins twice in one session is wrong. */
  readonly twoRecords?: boolean;
  /** From then on what the boards say may come late itself, and nothing is late by it. Ms since the test process began. */
  readonly lateUntil?: number;
  /** Props that are out of service from the beginning. */
  readonly out?: readonly string[];
}

const NEEDS = [{ prop: 'ferryman', move: 'row', of: 'ferry', sensor: 'far' }] as const;

/** Everything on the bus that should not have been, in words; empty where all is well. */
export function wrongOnTheBus(heard: readonly Heard[], options: WatchOptions = {}): string[] {
  const { controllerOf = (prop) => prop, needs = NEEDS, twoRecords = false, out = [] } = options;
  const { lateUntil = Number.POSITIVE_INFINITY } = options;
  const found: string[] = [];
  const made = new Map<string, boolean>();
  /** The last order of each prop. */
  const told = new Map<string, Told>();
  /** The last order of a prop that has neither ended nor been voided by a new session of its board. */
  const underWay = new Map<string, Told>();
  const begun = new Set<string>();
  let stopped: number | null = null;
  let cleared = 0;
  let epoch = 0;

  for (const { at, topic, payload, retained } of heard) {
    const [, about, id = '', kind, sensor = ''] = topic.split('/');
    const say = (what: string) =>
      found.push(`${Math.round(at)} ${topic} ${JSON.stringify(payload)}: ${what}`);
    if (about === 'stop') {
      const n = Number(payload.n);
      if (payload.latched === true && n > cleared) stopped = Math.max(stopped ?? 0, n);
      if (payload.latched === false) {
        cleared = Math.max(cleared, n);
        if (stopped !== null && cleared >= stopped) stopped = null;
      }
    } else if (about === 'prop' && kind === 'sense') {
      made.set(`${id}.${sensor}`, payload.made === true);
    } else if (about === 'controller' && kind === 'link') {
      // up or down, what its props were at is void
      for (const prop of [...underWay.keys()]) if (controllerOf(prop) === id) underWay.delete(prop);
    } else if (about === 'prop' && kind === 'do') {
      const order = { run: String(payload.run), step: Number(payload.step), at };
      if (retained) say('an order was kept by the broker');
      if (stopped !== null) say(`told to move while stop ${stopped} stands`);
      if (out.includes(id)) say('told to move though it is out of service');
      if (Number(payload.epoch) < epoch) say(`an order of epoch ${payload.epoch} after one of ${epoch}`);
      epoch = Math.max(epoch, Number(payload.epoch));
      for (const need of needs) {
        if (need.prop === id && need.move === payload.move && made.get(`${need.of}.${need.sensor}`) === false)
          say(`told though ${need.of}.${need.sensor} is not made`);
      }
      const before = told.get(id);
      const again = before?.run === order.run && before.step === order.step;
      if (again && before.times >= 2) say('told a third time');
      const busy = underWay.get(id);
      if (busy && !again) say(`told while step ${busy.step} of ${busy.run} is under way`);
      told.set(id, { ...order, times: again ? before.times + 1 : 1 });
      underWay.set(id, told.get(id)!);
    } else if (about === 'prop' && kind === 'did') {
      const name = `${id} ${payload.run} ${payload.step}${twoRecords ? ` ${payload.session}` : ''}`;
      const last = told.get(id);
      const ofLast = last && last.run === payload.run && last.step === payload.step;
      if (payload.is === 'started') {
        if (begun.has(name)) say('begun a second time');
        begun.add(name);
        if (ofLast && at < lateUntil && at - last.at > LATE_MS)
          say(`begun ${Math.round(at - last.at)} ms after it was told`);
      } else if (ofLast) underWay.delete(id);
    }
  }
  return found;
}
