import { CONTRACT, type MessageKind, type Payload } from './contract.ts';

const crossing = { run: '2026-10-31.crossing.17', session: 'm7q2' };
const out = { ...crossing, prop: 'ferry', step: 0, move: 'out' };

/** One of each, as a builder would see it on the bus: for the published document, and read back by a test. */
export const EXAMPLES: { readonly [K in MessageKind]: readonly Payload<K>[] } = {
  desk: [
    { up: true, desk: 'q4x1', epoch: 12, contract: CONTRACT },
    { up: false, desk: 'q4x1', epoch: 12 },
  ],
  heartbeat: [{ desk: 'q4x1', epoch: 12, n: 4711, silenceMs: 1000, stop: 0 }],
  stop: [
    { latched: true, n: 8, desk: 'q4x1', epoch: 12 },
    { latched: false, n: 8, desk: 'q4x1', epoch: 12 },
  ],
  announce: [{ desk: 'q4x1', epoch: 12 }],
  notice: [{ epoch: 12, inMs: 30_000 }],
  link: [
    {
      up: true,
      session: 'm7q2',
      first: 'k3f9',
      contract: CONTRACT,
      props: ['ferry'],
      stop: 0,
      epoch: 12,
      firmware: '1.2',
    },
    { up: false, session: 'k3f9' },
  ],
  beat: [{ session: 'm7q2', n: 812 }],
  stopped: [{ n: 8, session: 'm7q2', safe: true }],
  do: [
    { ...out, desk: 'q4x1', epoch: 12, limitMs: 12_000 },
    {
      ...crossing,
      prop: 'ferryman',
      step: 1,
      move: 'row',
      desk: 'q4x1',
      epoch: 12,
      limitMs: 50_000,
      lastsMs: 45_000,
    },
  ],
  halt: [{ prop: 'ferry', epoch: 12, why: 'interlock' }],
  did: [
    { ...out, is: 'started' },
    { ...out, is: 'done', ms: 6120 },
    { ...out, is: 'refused', why: 'session' },
    { ...out, is: 'failed', why: 'limit' },
    { ...out, is: 'halted' },
  ],
  sense: [{ prop: 'ferry', made: true, session: 'm7q2', n: 42 }],
};
