import type { Board } from './rig.ts';

const AT_ONCE = 40;
/**
 * Of so many readings of a board one is acknowledged (QoS 1), and it goes no further than so many of these ahead of the
 * broker. Else the network's own buffers would take a minute's worth, and what is measured would be how they empty.
 */
const ACKNOWLEDGED_EACH = 50;
const AHEAD_MOST = 10;

export interface Said {
  readonly topic: string;
  readonly payload: object;
}

/** Readings as fast as the broker takes them, from all these boards in turn: the `n`th of each. Returns how to end it. */
export function floodOf(
  boards: readonly Board[],
  nth: (board: Board, i: number, n: number) => Said,
): () => void {
  const each = boards.map((board, i) => ({ board, i, n: 0, ahead: 0 }));
  let turn = 0;
  let on = true;
  const say = (b: (typeof each)[number]): void => {
    if (b.ahead >= AHEAD_MOST) return;
    b.n += 1;
    const { topic, payload } = nth(b.board, b.i, b.n);
    if (b.n % ACKNOWLEDGED_EACH > 0) return void b.board.client.publish(topic, JSON.stringify(payload));
    b.ahead += 1;
    b.board.client.publish(topic, JSON.stringify(payload), { qos: 1 }, () => {
      b.ahead -= 1;
    });
  };
  const go = (): void => {
    if (!on) return;
    for (let k = 0; k < AT_ONCE; k++) say(each[++turn % each.length]!);
    setImmediate(go);
  };
  go();
  return () => {
    on = false;
  };
}

/**
 * The mats of boats: made and not made by turns, so that every message changes what the page shows. A plain sensor,
 * since an end that went to and fro like this would lock its prop out.
 */
export const matFlood = (boats: readonly Board[]): (() => void) =>
  floodOf(boats, (b, i, n) => {
    edges += 1;
    const payload = { prop: `boat-${i}`, made: n % 2 > 0, session: b.session, n: edges };
    return { topic: `yard/prop/boat-${i}/sense/mat`, payload };
  });

/** Counts on from one flood to the next, as a board's own count does. */
let edges = 10;
