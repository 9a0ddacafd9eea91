import type { Chance } from '../chance.ts';
import { topicsOf } from '../message.ts';
import type { Storm } from '../storm.ts';
import { SECOND, type Weather } from './kinds.ts';

/*
 * Messages that nobody of the yard said. None of them may have any effect. Those from `weather` may not even become a
 * fact; those from `weather past` parse and fit, and are void.
 */

const anyProp = (storm: Storm, chance: Chance): string => chance.pick([...storm.yard.file.yard.props.keys()]);
const anyBoard = (storm: Storm, chance: Chance): string => chance.pick([...storm.yardful.boards.keys()]);

function plant(
  storm: Storm,
  topic: string,
  data: string | Uint8Array | object,
  retained: boolean,
  from = 'weather',
): void {
  storm.bus.whisper('desk ', storm.bus.message(topic, data as never, from, 1), retained);
}

const HOSTILE: readonly string[] = [
  '{"up":1e999,"session":{}}',
  '{"__proto__":{"up":true},"session":"x"}',
  '{"n":-1,"session":"x"}',
  '{"n":9007199254740993,"session":"x","latched":true,"desk":"x","epoch":1}',
  '{"latched":true,"n":0,"desk":"x","epoch":1}',
  '{"latched":true,"n":281474976710657,"desk":"x","epoch":1}',
  '{"desk":"zzzz","epoch":281474976710658,"n":1,"silenceMs":1000,"stop":0}',
  '{"prop":"__proto__","made":true,"session":"x","n":1}',
  '{"is":"started","run":"","step":0.5}',
  `${'['.repeat(3000)}${']'.repeat(3000)}`,
];

const MALFORMED: readonly string[] = [
  '',
  'null',
  '[]',
  '{}',
  '"up"',
  '{"up":true}',
  '{"up":tru',
  '\u0000\u0001',
];

function noise(chance: Chance, size: number): Uint8Array {
  const bytes = new Uint8Array(size);
  for (let i = 0; i < size; i++) bytes[i] = chance.whole(0, 255);
  return bytes;
}

/** Payloads that nobody may take for anything, on topics of every kind. */
function payloads(name: string, perHour: number, draw: (chance: Chance) => string | Uint8Array): Weather {
  return {
    name,
    perHour,
    strike(storm, chance) {
      for (let i = chance.whole(1, 12); i > 0; i--)
        plant(storm, anyTopic(storm, chance), draw(chance), chance.hit(0.2));
    },
  };
}

function anyTopic(storm: Storm, chance: Chance): string {
  const t = topicsOf(storm.bus.root);
  const prop = anyProp(storm, chance);
  const board = anyBoard(storm, chance);
  const sensor = [...storm.yard.file.yard.props.get(prop)!.sensors.keys()][0] ?? 'far';
  return chance.pick([
    t.link(board),
    t.beat(board),
    t.stopped(board),
    t.did(prop),
    t.sense(prop, sensor),
    t.order(prop),
    t.halt(prop),
    t.desk,
    t.stop,
    t.heartbeat,
    t.announce,
    t.sense(prop, 'no-such'),
    t.did('no-such-prop'),
    `${storm.bus.root}/prop/${prop}`,
    `${storm.bus.root}/prop/A B/did`,
    `${storm.bus.root}//`,
  ]);
}

export const PLANTED: readonly Weather[] = [
  payloads('hostile payload', 5, (chance) => chance.pick(HOSTILE)),
  payloads('malformed payload', 5, (chance) =>
    chance.hit(0.6) ? chance.pick(MALFORMED) : noise(chance, chance.pick([1, 20, 300])),
  ),
  payloads('oversized payload', 3, (chance) =>
    chance.hit(0.6) ? `{"prop":"${'a'.repeat(chance.pick([4100, 20_000]))}"}` : noise(chance, 4097),
  ),
  {
    name: 'wrong payload on a topic',
    perHour: 6,
    strike(storm, chance) {
      const t = topicsOf(storm.bus.root);
      const [a, b] = [anyProp(storm, chance), anyProp(storm, chance)];
      if (a === b) return false;
      const p = storm.yard.file.yard.props.get(a)!;
      const session = storm.yardful.boardOf(a).session;
      const other = storm.yardful.boardOf(b).session;
      for (const s of p.sensors.keys())
        plant(storm, t.sense(a, s), { prop: b, made: chance.hit(0.5), session, n: 9999 }, false);
      const flight = storm.main.process?.desk.show.props[a]?.flight;
      const about = flight ?? { run: 'home.1.1', step: 0, move: [...p.moves.keys()][0] ?? 'x' };
      const { run, step, move } = about;
      const is = chance.pick(['started', 'done', 'halted', 'failed']);
      plant(
        storm,
        t.did(a),
        { prop: b, run, step, move, is, session: chance.pick([session, other]), ms: 1, why: 'x' },
        false,
      );
    },
  },
  {
    name: 'word of an old session',
    perHour: 6,
    besides: ['reboot'],
    strike(storm, chance) {
      const t = topicsOf(storm.bus.root);
      const a = anyProp(storm, chance);
      const link = storm.main.process?.desk.show.controllers[storm.yardful.boardOf(a).id];
      const session = link?.past[0];
      if (session === undefined) return false;
      const flight = storm.main.process?.desk.show.props[a]?.flight;
      if (flight) {
        const { run, step, move } = flight;
        const is = chance.pick(['started', 'done', 'halted', 'failed']);
        plant(
          storm,
          t.did(a),
          { prop: a, run, step, move, is, session, ms: 1, why: 'x' },
          false,
          'weather past',
        );
      }
      for (const s of storm.yard.file.yard.props.get(a)!.sensors.keys())
        plant(
          storm,
          t.sense(a, s),
          { prop: a, made: chance.hit(0.5), session, n: 9999 },
          chance.hit(0.3),
          'weather past',
        );
    },
  },
  {
    name: 'planted retained command',
    perHour: 2,
    strike(storm, chance) {
      const t = topicsOf(storm.bus.root);
      const prop = anyProp(storm, chance);
      const board = storm.yardful.boardOf(prop);
      const move = [...storm.yard.file.yard.props.get(prop)!.moves.keys()][0];
      const follows = board.follows;
      if (move === undefined || !follows) return false;
      const run = `planted.${chance.whole(1, 1e6)}`;
      const order = { prop, run, step: 0, move, session: board.session, ...follows, limitMs: 9000 };
      // kept by the broker, so that it is delivered with the flag to whoever subscribes anew
      storm.bus.retained.set(t.order(prop), storm.bus.message(t.order(prop), order, 'weather', 1, true));
      const did = { prop, run, step: 0, move, is: 'done', session: board.session, ms: 5 };
      storm.bus.retained.set(t.did(prop), storm.bus.message(t.did(prop), did, 'weather', 1, true));
      storm.rough(5 * SECOND);
      board.reconnect();
      storm.during(30 * SECOND, () => {
        storm.bus.retained.delete(t.order(prop));
        storm.bus.retained.delete(t.did(prop));
      });
    },
  },
  {
    name: 'retained trigger',
    perHour: 3,
    strike(storm, chance) {
      const p = storm.main.process;
      const scene = [...storm.yard.file.yard.scenes.values()].find((s) => s.on);
      if (!p?.line?.conn || !scene?.on) return false;
      const { prop, sensor } = scene.on;
      const board = storm.yardful.boardOf(prop);
      const t = topicsOf(storm.bus.root);
      const data = { prop, made: chance.hit(0.8), session: board.session, n: board.countOf(prop, sensor) };
      const m = storm.bus.message(t.sense(prop, sensor), data, board.name, 1, true);
      // as a broker that was away gives what it kept: with the flag, though we were subscribed all along
      p.line.receive(m, true);
    },
  },
];
