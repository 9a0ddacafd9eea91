import type { Conn } from '../broker.ts';
import type { Chance } from '../chance.ts';
import { topicsOf } from '../message.ts';
import type { Storm } from '../storm.ts';
import { SECOND, type Weather } from './kinds.ts';

/** A connection: the desk's one time in four where it has one over the network. */
function someConn(storm: Storm, chance: Chance): Conn | undefined {
  const far = storm.bus.conns.filter((c) => storm.broker !== null || !c.client.name.startsWith('desk '));
  const desks = far.filter((c) => c.client.name.startsWith('desk '));
  if (desks.length > 0 && chance.hit(0.25)) return chance.pick(desks);
  return far.length > 0 ? chance.pick(far) : undefined;
}

const way = (chance: Chance): 'up' | 'down' => (chance.hit(0.5) ? 'up' : 'down');

/** Weather on a connection for a while. */
function onConn(storm: Storm, chance: Chance, ms: number, begin: (conn: Conn) => () => void): boolean {
  const conn = someConn(storm, chance);
  if (!conn) return false;
  storm.rough(ms);
  storm.during(ms, begin(conn));
  return true;
}

const anyBoard = (storm: Storm, chance: Chance) => chance.pick([...storm.yardful.boards.values()]);

export const BUS: readonly Weather[] = [
  {
    name: 'lost',
    perHour: 3,
    strike: (storm, chance) =>
      onConn(storm, chance, chance.between(2, 20) * SECOND, (conn) => {
        const pipe = conn[way(chance)];
        pipe.loss = chance.between(0.1, 0.9);
        return () => (pipe.loss = 0);
      }),
  },
  {
    name: 'duplicated',
    perHour: 3,
    strike: (storm, chance) =>
      onConn(storm, chance, chance.between(5, 30) * SECOND, (conn) => {
        const pipe = conn[way(chance)];
        pipe.twice = chance.between(0.1, 0.6);
        return () => (pipe.twice = 0);
      }),
  },
  {
    name: 'reordered',
    perHour: 2,
    strike(storm, chance) {
      const ms = chance.between(5, 40) * SECOND;
      storm.rough(ms);
      for (const conn of storm.bus.conns) {
        if (!storm.broker && conn.client.name.startsWith('desk ')) continue;
        conn.up.latencyMs = chance.whole(2, 400);
        conn.down.latencyMs = chance.whole(2, 400);
        storm.during(ms, () => {
          conn.up.latencyMs = conn.up.calmMs;
          conn.down.latencyMs = conn.down.calmMs;
        });
      }
    },
  },
  {
    name: 'delayed',
    perHour: 3,
    strike: (storm, chance) =>
      onConn(storm, chance, chance.between(2, 30) * SECOND, (conn) => {
        const pipe = conn[way(chance)];
        pipe.latencyMs = chance.whole(100, 3000);
        return () => (pipe.latencyMs = pipe.calmMs);
      }),
  },
  {
    name: 'acknowledgement lost',
    perHour: 2,
    strike(storm, chance) {
      const conn = storm.bus.connOf(anyBoard(storm, chance).name);
      if (!conn) return false;
      const ms = chance.between(0.5, 6) * SECOND;
      storm.rough(ms);
      conn.up.dropped = new Set(['did']);
      storm.during(ms, () => (conn.up.dropped = null));
    },
  },
  {
    name: 'clogged, then flushed',
    perHour: 6,
    strike(storm, chance) {
      const conn = someConn(storm, chance);
      if (!conn) return false;
      const ms = chance.between(0.3, 6) * SECOND;
      storm.rough(ms + 500);
      const both = chance.hit(0.4);
      const until = storm.world.now + ms;
      const first = way(chance);
      conn[first].heldUntil = until;
      if (both) conn[first === 'up' ? 'down' : 'up'].heldUntil = until;
    },
  },
  {
    name: 'deaf one way',
    perHour: 3,
    strike(storm, chance) {
      const conn = someConn(storm, chance);
      if (!conn) return false;
      const ms = chance.between(0.5, 15) * SECOND;
      const which = way(chance);
      storm.rough(ms);
      storm.bus.deafen(conn, which);
      storm.during(ms, () => (conn[which].deaf = false));
    },
  },
  {
    name: 'broker restart, store kept',
    perHour: 1.5,
    fits: (storm) => storm.broker !== null,
    strike: (storm, chance) => brokerRestart(storm, chance, true),
  },
  {
    name: 'broker restart, store lost',
    perHour: 1.5,
    fits: (storm) => storm.broker !== null,
    strike: (storm, chance) => brokerRestart(storm, chance, false),
  },
  {
    name: 'half-open',
    perHour: 3,
    strike(storm, chance) {
      const conn = someConn(storm, chance);
      if (!conn) return false;
      storm.rough(20 * SECOND);
      storm.bus.halfOpen(conn);
    },
  },
  {
    name: 'client-id fight',
    perHour: 1.5,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      const name = `stranger ${board.id}`;
      const rounds = chance.whole(1, 8);
      storm.rough(rounds * 3 * SECOND);
      const stranger = { name, wants: () => false, receive() {}, lost() {} };
      for (let i = 0; i < rounds; i++)
        storm.later(i * chance.between(0.3, 3) * SECOND, () => {
          const conn = storm.bus.connect(stranger, board.clientId, null, 5000);
          if (conn) storm.later(chance.between(0.2, 2) * SECOND, () => storm.bus.cut(conn, false));
        });
    },
  },
  willWeather('will late', (bus, chance) => (bus.lateMs = chance.between(300, 9000))),
  willWeather('will missing', (bus) => (bus.missing = true)),
  willWeather('will repeated', (bus) => (bus.twice = true)),
  {
    name: 'stale retained state',
    perHour: 1.5,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      const topics = topicsOf(storm.bus.root);
      const session = chance.word();
      const props = [...board.bodies.keys()];
      const keep = (topic: string, data: object): void => {
        const m = storm.bus.message(topic, data as never, board.name, 1, true);
        storm.bus.retained.set(topic, m);
      };
      keep(topics.link(board.id), {
        up: true,
        session,
        first: session,
        contract: 1,
        props,
        stop: 0,
        epoch: 0,
      });
      for (const [prop, body] of board.bodies)
        for (const s of body.seen.keys())
          keep(topics.sense(prop, s), { prop, made: chance.hit(0.5), session, n: chance.whole(0, 50) });
      storm.rough(4 * SECOND);
      // whoever connects now is told of it
      const desk = storm.bus.conns.find((c) => c.client.name.startsWith('desk '));
      if (desk && storm.broker) storm.bus.cut(desk, true);
    },
  },
  {
    name: 'stop lost on its way',
    perHour: 3,
    strike(storm, chance) {
      // the boards that move something hear heartbeats and nothing else: those bear the stop too
      const moving = [...storm.yardful.boards.values()].filter((b) => b.active.size > 0);
      if (moving.length === 0) return false;
      const ms = chance.between(2, 8) * SECOND;
      storm.rough(ms);
      for (const board of moving) {
        const conn = storm.bus.connOf(board.name);
        if (!conn) continue;
        conn.down.dropped = new Set(['stop']);
        storm.during(ms, () => {
          conn.down.dropped = null;
        });
      }
      storm.crew.stop('while it is lost');
    },
  },
  {
    name: 'queue silently dropped',
    perHour: 3,
    strike(storm, chance) {
      const kinds = chance.pick([
        ['halt'],
        ['stop'],
        ['do'],
        ['heartbeat'],
        ['sense', 'did'],
        ['link'],
        ['beat'],
      ]);
      return onConn(storm, chance, chance.between(0.5, 5) * SECOND, (conn) => {
        const pipe = conn[way(chance)];
        pipe.dropped = new Set(kinds);
        return () => (pipe.dropped = null);
      });
    },
  },
];

function brokerRestart(storm: Storm, chance: Chance, kept: boolean): void {
  const ms = chance.hit(0.7) ? chance.between(0.1, 3) * SECOND : chance.between(3, 30) * SECOND;
  storm.rough(ms + 5 * SECOND);
  storm.bus.die(kept);
  storm.during(ms, () => storm.bus.live());
}

function willWeather(
  name: string,
  set: (weather: { missing: boolean; lateMs: number; twice: boolean }, chance: Chance) => void,
): Weather {
  return {
    name,
    perHour: 1.5,
    strike(storm, chance) {
      const { willWeather: w } = storm.bus;
      set(w, chance);
      storm.rough(20 * SECOND);
      storm.during(20 * SECOND, () => Object.assign(w, { missing: false, lateMs: 0, twice: false }));
      const conn = storm.bus.connOf(anyBoard(storm, chance).name);
      if (!conn) return false;
      storm.bus.cut(conn, true);
    },
  };
}
