import { Attempts } from '../../../server/api/attempts.ts';
import type { Chance } from '../chance.ts';
import { HostilePage } from '../hostile-page.ts';
import { Page } from '../page.ts';
import type { Storm } from '../storm.ts';
import { SECOND, type Weather } from './kinds.ts';

const props = (storm: Storm, kind: 'prop' | 'stop-station'): string[] =>
  [...storm.yard.file.yard.props.values()].filter((p) => p.kind === kind).map((p) => p.id);
const stations = (storm: Storm): boolean => props(storm, 'stop-station').length > 0;

/** A mat stood on, a button pressed: a plain sensor made for a while. */
function press(storm: Storm, prop: string, sensor: string, ms: number): void {
  const body = storm.yardful.bodies.get(prop)!;
  body.plain.set(sensor, true);
  body.touch();
  storm.during(ms, () => {
    body.plain.set(sensor, false);
    body.touch();
  });
}

/** One press for setting up: repeated while held, then let go, or the phone is gone in the middle of it. */
function bench(storm: Storm, chance: Chance, lost: boolean): unknown {
  const show = storm.main.process?.desk.show;
  if (!show || (show.mode !== 'held' && show.mode !== 'closed')) return false;
  const prop = chance.pick(props(storm, 'prop'));
  const move = [...storm.yard.file.yard.props.get(prop)!.moves.keys()];
  if (move.length === 0) return false;
  const fact = {
    kind: 'benchPressed',
    by: 'keeper',
    prop,
    move: chance.pick(move),
    press: chance.word(),
  } as const;
  const ms = chance.between(0.1, 6) * SECOND;
  for (let at = 0; at < ms; at += 100)
    storm.later(at, () => storm.crew.send(fact, () => {}, chance.between(2, 60)));
  if (!lost)
    storm.later(ms, () => storm.crew.send({ kind: 'benchLifted', by: 'keeper', prop, press: fact.press }));
}

export const PEOPLE: readonly Weather[] = [
  {
    name: 'guest on a mat',
    perHour: 40,
    strike(storm, chance) {
      const mats = [...storm.yard.file.yard.scenes.values()].flatMap((s) => s.on ?? []);
      if (mats.length === 0) return false;
      const { prop, sensor } = chance.pick(mats);
      for (let i = chance.whole(1, 4), at = 0; i > 0; i--, at += chance.between(0.3, 6) * SECOND)
        storm.later(at, () => press(storm, prop, sensor, chance.between(0.1, 3) * SECOND));
    },
  },
  {
    name: 'stop pressed',
    perHour: 3,
    strike(storm, chance) {
      for (let i = chance.whole(1, 3), at = 0; i > 0; i--, at += chance.between(0, 900))
        storm.later(at, () => storm.crew.stop('page'));
    },
  },
  {
    name: 'red button at the station',
    perHour: 1.5,
    fits: stations,
    strike(storm, chance) {
      press(storm, chance.pick(props(storm, 'stop-station')), 'button', chance.between(0.2, 40) * SECOND);
    },
  },
  {
    name: 'clear against stop',
    perHour: 3,
    strike(storm, chance) {
      const { crew } = storm;
      if (!storm.main.process?.desk.show.stop.latched) crew.stop('page');
      storm.later(chance.between(0.5, 5) * SECOND, () => {
        const at = chance.between(5, 80);
        const seen = crew.seen(30);
        crew.send({ kind: 'clearAsked', by: 'keeper', seen }, () => {}, at);
        storm.later(at + chance.whole(-2, 2), () => crew.stop('page'));
      });
    },
  },
  {
    name: 'five at once',
    perHour: 3,
    strike(storm, chance) {
      for (let i = 0; i < 5; i++) storm.later(chance.between(0, 300), () => anything(storm, chance));
    },
  },
  {
    name: "yesterday's tab",
    perHour: 3,
    strike(storm, chance) {
      const { crew } = storm;
      const seen = chance.hit(0.5) ? 0 : crew.seen(60 * SECOND);
      crew.send({ kind: 'clearAsked', by: 'keeper', seen });
      for (const prop of props(storm, 'prop')) crew.send({ kind: 'releaseAsked', by: 'keeper', prop, seen });
    },
  },
  {
    name: 'double taps',
    perHour: 6,
    strike(storm, chance) {
      for (let i = chance.whole(2, 4); i > 0; i--)
        storm.later(chance.between(0, 250), () => storm.crew.putRight());
      storm.crew.open();
      storm.crew.open();
    },
  },
  { name: 'setting up', perHour: 6, strike: (storm, chance) => bench(storm, chance, false) },
  { name: 'phone lost in mid-press', perHour: 4, strike: (storm, chance) => bench(storm, chance, true) },
  {
    name: 'page on a bad radio',
    perHour: 2,
    strike(storm, chance) {
      const ms = chance.between(20, 90) * SECOND;
      const page = new Page(storm.world, chance.stream(`page ${storm.world.now}`), storm.referee, storm.main);
      storm.during(ms, () => page.close());
    },
  },
  {
    name: 'scene by hand',
    perHour: 12,
    strike(storm, chance) {
      const scene = chance.pick([...storm.yard.file.yard.scenes.keys()]);
      storm.crew.send({ kind: 'sceneAsked', by: 'helper', scene });
    },
  },
  {
    name: 'held, then opened',
    perHour: 2,
    strike(storm, chance) {
      storm.crew.send({ kind: 'holdAsked', by: 'helper' });
      storm.later(chance.between(1, 40) * SECOND, () => storm.crew.open(chance.hit(0.8)));
    },
  },
  {
    name: 'closed, then opened',
    perHour: 0.7,
    strike(storm, chance) {
      storm.crew.send({ kind: 'closeAsked', by: 'helper' });
      storm.later(chance.between(5, 90) * SECOND, () => storm.crew.open());
    },
  },
  {
    name: 'taken out by hand',
    perHour: 1.5,
    strike(storm, chance) {
      const prop = chance.pick(props(storm, 'prop'));
      storm.crew.send({ kind: 'lockoutAsked', by: 'helper', prop, why: 'squeaks' });
      storm.crew.send({ kind: 'acknowledged', by: 'helper', prop });
    },
  },
  {
    name: 'flood of commands while someone needs the stop',
    perHour: 0.7,
    strike(storm, chance) {
      for (let i = 0; i < 400; i++)
        storm.crew.send(
          { kind: 'acknowledged', by: 'page', prop: props(storm, 'prop')[0]! },
          () => {},
          chance.between(0, 400),
        );
      storm.later(chance.between(50, 300), () => storm.crew.stop('in a flood'));
    },
  },
  {
    name: 'a hostile page',
    perHour: 2,
    strike(storm, chance) {
      const page = new HostilePage(storm.crew, chance.stream(`page ${storm.world.now}`), storm.referee);
      for (let i = chance.whole(5, 60); i > 0; i--)
        storm.later(chance.between(0, 5) * SECOND, () => {
          const p = storm.crew.process;
          if (p?.driving) p.enter(() => page.request(p));
        });
    },
  },
  {
    name: 'a flood of sign-ins while someone needs the stop',
    perHour: 0.7,
    strike(storm, chance) {
      // those that the gate lets through are hashed, which takes the processor for a moment each
      const attempts = new Attempts(() => storm.world.now);
      const phones = chance.whole(1, 8);
      for (let i = 0; i < 300; i++)
        storm.later(chance.between(0, 3) * SECOND, () => {
          const address = `phone ${chance.whole(1, phones)}`;
          const turn = attempts.begin(address);
          if (!turn.ok) return;
          storm.later(turn.waitMs, () => {
            storm.main.freeze(chance.whole(20, 120));
            attempts.end(address, false);
          });
        });
      storm.rough(8 * SECOND);
      storm.later(chance.between(0.2, 3) * SECOND, () => storm.crew.stop('in a flood of sign-ins'));
    },
  },
];

function anything(storm: Storm, chance: Chance): void {
  const { crew } = storm;
  const by = chance.word();
  const prop = chance.pick(props(storm, 'prop'));
  const scene = chance.pick([...storm.yard.file.yard.scenes.keys()]);
  chance.pick([
    () => crew.stop('page'),
    () => crew.send({ kind: 'clearAsked', by, seen: crew.seen(50) }),
    () => crew.open(),
    () => crew.send({ kind: 'holdAsked', by }),
    () => crew.send({ kind: 'sceneAsked', by, scene }),
    () => crew.send({ kind: 'lockoutAsked', by, prop, why: '' }),
    () => crew.send({ kind: 'releaseAsked', by, prop, seen: crew.seen(50) }),
    () => crew.send({ kind: 'closeAsked', by }),
  ])();
}
