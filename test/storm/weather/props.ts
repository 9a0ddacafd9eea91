import { Board } from '../board.ts';
import type { Body, SensorFault } from '../body.ts';
import type { Chance } from '../chance.ts';
import type { Storm } from '../storm.ts';
import { MINUTE, SECOND, type Weather } from './kinds.ts';

const anyBoard = (storm: Storm, chance: Chance): Board => chance.pick([...storm.yardful.boards.values()]);

/** A prop that moves about, not a button. */
function anyBody(storm: Storm, chance: Chance, wanted: (b: Body) => boolean = () => true): Body | undefined {
  const all = [...storm.yardful.bodies.values()].filter((b) => b.prop.kind === 'prop' && wanted(b));
  return all.length > 0 ? chance.pick(all) : undefined;
}

const withEnds = (b: Body): boolean => b.places.size > 0;

function fault(storm: Storm, ms: number, body: Body, sensor: string, kind: SensorFault): void {
  body.faults.set(sensor, kind);
  body.touch();
  storm.during(ms, () => {
    body.faults.delete(sensor);
    body.touch();
  });
}

function stuck(name: string, kind: SensorFault, perHour: number): Weather {
  return {
    name,
    perHour,
    strike(storm, chance) {
      const body = anyBody(storm, chance, withEnds);
      if (!body) return false;
      fault(storm, chance.between(5, 240) * SECOND, body, chance.pick([...body.places.keys()]), kind);
    },
  };
}

/** A sensor that goes on and off. */
function flicker(name: string, lowMs: number, highMs: number, forMs: number): Weather {
  return {
    name,
    perHour: 1.5,
    strike(storm, chance) {
      const body = anyBody(storm, chance, (b) => b.prop.sensors.size > 0);
      if (!body) return false;
      const sensor = chance.pick([...body.seen.keys()]);
      const until = storm.world.now + forMs * chance.between(0.5, 1.5);
      const turn = (): void => {
        if (storm.world.now >= until || storm.healed) {
          body.faults.delete(sensor);
          return body.touch();
        }
        body.faults.set(sensor, body.seen.get(sensor) ? 'clear' : 'made');
        body.touch();
        storm.world.in(chance.between(lowMs, highMs), turn);
      };
      turn();
    },
  };
}

/** Something about a prop's body for a while. */
function bodily(
  name: string,
  perHour: number,
  seconds: readonly [number, number],
  wanted: (b: Body) => boolean,
  begin: (body: Body, chance: Chance) => () => void,
): Weather {
  return {
    name,
    perHour,
    strike(storm, chance) {
      const body = anyBody(storm, chance, wanted);
      if (!body) return false;
      const end = begin(body, chance);
      body.touch();
      storm.during(chance.between(...seconds) * SECOND, () => {
        end();
        body.touch();
      });
    },
  };
}

/** Something about a board's program for a while. */
function trouble(
  name: string,
  perHour: number,
  seconds: readonly [number, number],
  begin: (board: Board, chance: Chance) => () => void,
  besides: readonly string[] = [],
): Weather {
  return {
    name,
    perHour,
    besides,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      storm.during(chance.between(...seconds) * SECOND, begin(board, chance));
    },
  };
}

export const PROPS: readonly Weather[] = [
  {
    name: 'reboot',
    perHour: 6,
    strike(storm, chance) {
      const moving = [...storm.yardful.boards.values()].filter((b) => b.active.size > 0);
      const board = moving.length > 0 && chance.hit(0.7) ? chance.pick(moving) : anyBoard(storm, chance);
      board.powerOff();
      storm.later(chance.between(0.2, 5) * SECOND, () => board.powerOn());
    },
  },
  {
    name: 'a board without power for minutes',
    perHour: 1.5,
    strike(storm, chance) {
      const moving = [...storm.yardful.boards.values()].filter((b) => b.active.size > 0);
      const board = moving.length > 0 ? chance.pick(moving) : anyBoard(storm, chance);
      board.powerOff();
      storm.later(chance.between(20, 240) * SECOND, () => board.powerOn());
    },
  },
  {
    name: 'boot loop',
    perHour: 0.7,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      for (let i = 0, at = 0; i < chance.whole(4, 12); i++) {
        at += chance.between(0.3, 4);
        storm.later(at * SECOND, () => board.powerOff());
        at += chance.between(0.1, 1);
        storm.later(at * SECOND, () => board.powerOn());
      }
    },
  },
  {
    name: 'brown-out',
    perHour: 1,
    strike(storm, chance) {
      for (const board of storm.yardful.boards.values()) {
        if (chance.hit(0.4)) continue;
        storm.later(chance.between(0, 0.3) * SECOND, () => board.powerOff());
        storm.later(chance.between(0.4, 6) * SECOND, () => board.powerOn());
      }
    },
  },
  stuck('sensor stuck made', 'made', 3),
  stuck('sensor stuck clear', 'clear', 3),
  {
    name: 'both ends',
    perHour: 1.5,
    strike(storm, chance) {
      const body = anyBody(storm, chance, (b) => b.places.size > 1);
      if (!body) return false;
      const ms = chance.between(1, 90) * SECOND;
      for (const sensor of body.places.keys()) fault(storm, ms, body, sensor, 'made');
    },
  },
  {
    name: 'broken wire',
    perHour: 1,
    strike(storm, chance) {
      const body = anyBody(storm, chance, (b) => b.prop.sensors.size > 0);
      if (!body) return false;
      // a pull-up reads a dark lamp as a blocked gap
      fault(storm, chance.between(1, 15) * MINUTE, body, chance.pick([...body.seen.keys()]), 'made');
    },
  },
  flicker('chatter', 20, 240, 4 * SECOND),
  flicker('sun on a sensor', 700, 4000, 60 * SECOND),
  bodily('slow', 3, [10, 300], withEnds, (body, chance) => {
    body.slow = chance.between(0.15, 0.8);
    return () => (body.slow = 1);
  }),
  bodily('too fast', 1, [10, 200], withEnds, (body) => {
    body.slow = 3.5;
    return () => (body.slow = 1);
  }),
  bodily('jam', 3, [2, 90], withEnds, (body) => {
    body.jammed = true;
    return () => (body.jammed = false);
  }),
  bodily(
    'coasts past',
    2,
    [10, 120],
    (b) => b.places.size > 1,
    (body) => {
      body.friction = body.firmFriction * 0.12;
      return () => (body.friction = body.firmFriction);
    },
  ),
  bodily(
    'answers but does not act',
    2,
    [5, 120],
    () => true,
    (body) => {
      body.dead = true;
      return () => (body.dead = false);
    },
  ),
  {
    name: 'pushed by hand',
    perHour: 5,
    strike(storm, chance) {
      const body = anyBody(storm, chance, withEnds);
      if (!body) return false;
      body.push(chance.between(-1100, 1100));
      if (chance.hit(0.5))
        storm.later(chance.between(0.5, 20) * SECOND, () => body.push(chance.between(-1100, 1100)));
    },
  },
  {
    name: 'low air',
    perHour: 1.5,
    fits: (storm) => storm.yardful.tanks.size > 0,
    strike(storm, chance) {
      const tank = chance.pick([...storm.yardful.tanks.values()]);
      const ms = chance.between(1, 10) * MINUTE;
      tank.leak(chance.between(20, 120));
      const users = [...storm.yardful.bodies.values()].filter((b) =>
        [...b.prop.moves.values()].some((m) => m.air.some((a) => a.tank === tank.tank.id)),
      );
      const breath = (on: boolean): void => {
        for (const b of users) {
          b.breathless = on;
          b.touch();
        }
      };
      storm.later(ms * 0.3, () => !storm.healed && breath(true));
      storm.during(ms, () => {
        tank.leak(0);
        breath(false);
      });
    },
  },
  trouble('acts but does not answer', 2, [1, 20], (board) => {
    board.trouble.mute = true;
    return () => (board.trouble.mute = false);
  }),
  trouble('does not hear orders', 2, [1, 15], (board) => {
    board.trouble.orderDeaf = true;
    return () => (board.trouble.orderDeaf = false);
  }),
  trouble(
    'does not hear a halt',
    1,
    [2, 20],
    (board) => {
      board.trouble.haltDeaf = true;
      return () => (board.trouble.haltDeaf = false);
    },
    ['acts but does not answer'],
  ),
  trouble('says that it is busy', 0.7, [5, 60], (board) => {
    board.trouble.busy = true;
    return () => (board.trouble.busy = false);
  }),
  trouble('does not know a move', 0.7, [20, 200], (board, chance) => {
    const moves = [...board.bodies.values()].flatMap((b) => [...b.prop.moves.keys()]);
    if (moves.length > 0) board.trouble.unknown.add(chance.pick(moves));
    return () => board.trouble.unknown.clear();
  }),
  trouble('fails with a word of its own', 1, [5, 40], (board) => {
    board.trouble.fails = true;
    return () => (board.trouble.fails = false);
  }),
  trouble('does not watch its limits', 2, [30, 300], (board, chance) => {
    board.trouble.limitless = true;
    const body = chance.pick([...board.bodies.values()]);
    body.jammed = true;
    body.touch();
    return () => {
      board.trouble.limitless = false;
      body.jammed = false;
      body.touch();
    };
  }),
  trouble('not sure that it stopped', 1, [20, 120], (board) => {
    board.trouble.unsafe = true;
    return () => (board.trouble.unsafe = false);
  }),
  {
    name: 'millisecond counter wraps',
    perHour: 1,
    strike: (storm, chance) => anyBoard(storm, chance).wrapIn(chance.between(0, 3) * SECOND),
  },
  {
    name: 'old firmware',
    perHour: 0.7,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      const ms = chance.between(10, 200) * SECOND;
      storm.rough(ms + 5 * SECOND);
      board.trouble.contract = 0;
      board.powerOff();
      board.powerOn();
      storm.during(ms, () => {
        board.trouble.contract = 1;
        board.powerOff();
        board.powerOn();
      });
    },
  },
  {
    name: 'two boards with one id',
    perHour: 0.7,
    strike(storm, chance) {
      const first = anyBoard(storm, chance);
      const ms = chance.between(5, 60) * SECOND;
      const name = `clone ${first.id}`;
      const stream = chance.stream(`clone ${storm.world.now}`);
      const second = new Board(
        storm.world,
        () => storm.bus,
        first.id,
        first.bodies,
        stream,
        storm.referee,
        name,
      );
      // either fights for the connection, or both stand side by side
      second.clientId = chance.hit(0.5) ? first.clientId : `${first.clientId}-2`;
      storm.clones.add(second);
      storm.referee.truth.loads.cloned(first, 1);
      storm.rough(ms + 5 * SECOND);
      second.powerOn();
      storm.during(ms, () => {
        second.powerOff();
        storm.clones.delete(second);
        storm.referee.truth.loads.cloned(first, -1);
      });
    },
  },
  {
    name: 'a flood while the loop stands still',
    perHour: 0.06,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      const prop = [...board.bodies.entries()].find(([, b]) => b.seen.size > 0);
      const n = storm.main.process?.desk.show.stop.n ?? 0;
      if (!prop || !storm.main.process?.driving || n === 0) return false;
      const [id, body] = prop;
      const sensor = [...body.seen.keys()][0]!;
      const ms = chance.between(1, 4) * SECOND;
      storm.rough(ms + 8 * SECOND);
      storm.deskGone(storm.main);
      storm.main.freeze(ms);
      const said = { prop: id, made: body.seen.get(sensor), session: board.session, n: 0 };
      for (let i = 0; i < 21_000; i++)
        board.say(`${storm.bus.root}/prop/${id}/sense/${sensor}`, said, 1, true);
      const stopped = { n, session: board.session, safe: true };
      for (let i = 0; i < 3; i++) board.say(`${storm.bus.root}/controller/${board.id}/stopped`, stopped, 1);
      storm.later(ms + chance.between(0, 20), () => storm.crew.stop('after a flood'));
    },
  },
  {
    name: 'flood',
    perHour: 0.6,
    strike(storm, chance) {
      const board = anyBoard(storm, chance);
      const prop = [...board.bodies.entries()].find(([, b]) => b.seen.size > 0);
      if (!prop) return false;
      const [id, body] = prop;
      const sensor = [...body.seen.keys()][0]!;
      const count = chance.whole(200, 3000);
      storm.rough(3 * SECOND);
      for (let i = 0; i < count; i++)
        board.say(
          `${storm.bus.root}/prop/${id}/sense/${sensor}`,
          { prop: id, made: body.seen.get(sensor), session: board.session, n: 0 },
          1,
          true,
        );
      if (chance.hit(0.5)) storm.later(chance.between(1, 20), () => storm.crew.stop('in a flood'));
    },
  },
];
