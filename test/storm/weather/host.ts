import type { Chance } from '../chance.ts';
import type { DiskTrouble } from '../disk.ts';
import type { Storm } from '../storm.ts';
import { MINUTE, SECOND, type Weather } from './kinds.ts';

function diskTrouble(trouble: DiskTrouble, perHour: number): Weather {
  return {
    name: `disk ${trouble}`,
    perHour,
    strike(storm, chance) {
      if (storm.main.disk.trouble) return false;
      storm.main.disk.trouble = trouble;
      storm.during(chance.between(0.5, 90) * SECOND, () => {
        storm.main.disk.trouble = null;
      });
    },
  };
}

/** The desk dies at a call still to come: before it has its effect, or after it. */
function deathAt(name: string, where: readonly ('send' | 'append' | 'numbers')[], most: number): Weather {
  return {
    name,
    perHour: 2,
    strike(storm, chance) {
      const when = chance.hit(0.5) ? 'before' : 'after';
      storm.main.death = { where: chance.pick(where), when, left: chance.whole(1, most) };
      storm.rough(12 * SECOND);
      storm.during(60 * SECOND, () => {
        storm.main.death = null;
      });
    },
  };
}

/** Longer than any supervisor: someone pulled the plug. */
function powerCut(storm: Storm, chance: Chance, lost: number): void {
  const { main } = storm;
  const ms = chance.hit(0.8) ? chance.between(5, 60) * SECOND : chance.between(2, 20) * MINUTE;
  if (lost > 0) {
    main.disk.loseTail(lost);
    storm.referee.records.noteTailLost(main.name);
  }
  storm.deskGone(main);
  main.kill(chance.hit(0.5) ? 'reset' : 'vanished', ms);
  storm.rough(ms + 10 * SECOND);
}

export const HOST: readonly Weather[] = [
  deathAt('killed around an effect', ['send'], 12),
  deathAt('killed around a write', ['append', 'numbers'], 8),
  {
    name: 'killed',
    perHour: 1,
    strike(storm) {
      storm.rough(12 * SECOND);
      storm.deskGone(storm.main);
      storm.main.kill('reset', 2 * SECOND);
    },
  },
  { name: 'power cut', perHour: 0.4, strike: (storm, chance) => powerCut(storm, chance, 0) },
  {
    name: 'power cut, tail of the record lost',
    perHour: 0.4,
    strike: (storm, chance) => powerCut(storm, chance, chance.whole(1, 30)),
  },
  {
    name: 'stopped in order and started again',
    perHour: 0.5,
    strike(storm, chance) {
      storm.rough(20 * SECOND);
      storm.deskGone(storm.main);
      storm.main.stopInOrder(chance.between(0.5, 8) * SECOND);
    },
  },
  {
    name: 'loop stalls',
    perHour: 6,
    strike(storm, chance) {
      storm.rough(3 * SECOND);
      storm.main.freeze(chance.between(50, 1500));
    },
  },
  {
    name: 'stands still for minutes',
    perHour: 0.6,
    strike(storm, chance) {
      const ms = chance.between(2, 240) * SECOND;
      storm.rough(ms + 10 * SECOND);
      storm.deskGone(storm.main);
      storm.main.freeze(ms);
    },
  },
  {
    name: 'sockets slow to empty',
    perHour: 1,
    strike(storm, chance) {
      storm.main.slowFlush = true;
      storm.during(chance.between(10, 120) * SECOND, () => {
        storm.main.slowFlush = false;
      });
      storm.later(chance.between(1, 9) * SECOND, () => storm.crew.stop('while sockets are slow'));
    },
  },
  diskTrouble('full', 1.5),
  diskTrouble('read-only', 0.7),
  diskTrouble('io', 1),
  {
    name: 'two desks',
    perHour: 1,
    fits: (storm) => storm.broker !== null,
    strike(storm, chance) {
      if (storm.spare.process?.alive) return false;
      const ms = chance.between(10, 120) * SECOND;
      storm.rough(ms + 20 * SECOND);
      // the first is cut off for a while, so that the second believes that it is gone
      const conn = storm.bus.conns.find((c) => c.client.name.startsWith('desk main'));
      if (conn && chance.hit(0.7)) {
        conn.up.heldUntil = storm.world.now + chance.between(2, 9) * SECOND;
        if (chance.hit(0.5)) conn.down.heldUntil = conn.up.heldUntil;
      }
      storm.spare.start();
      storm.during(ms, () => {
        if (chance.hit(0.5)) storm.spare.kill('reset', null);
        else storm.spare.stopInOrder(null);
      });
    },
  },
  {
    name: 'yard file edited',
    perHour: 0.3,
    strike(storm) {
      const { main, yard } = storm;
      main.file = main.file === yard.file ? yard.edited : yard.file;
      storm.rough(20 * SECOND);
      main.stopInOrder(2 * SECOND);
    },
  },
];

export const TIME: readonly Weather[] = [
  {
    name: 'clock steps',
    perHour: 1,
    strike(storm, chance) {
      storm.rough(3 * SECOND);
      const by = chance.pick([-3600, 3600, -7200, 1800, -61, 61, 5, -5, 0.8]) * SECOND;
      storm.main.stepWall(by);
      storm.during(chance.between(5, 1200) * SECOND, () => {
        storm.rough(3 * SECOND);
        storm.main.setWall(0);
      });
    },
  },
  {
    name: 'clock runs away slowly',
    perHour: 0.5,
    strike(storm, chance) {
      storm.main.slewWall(chance.between(-0.002, 0.002));
      storm.during(chance.between(5, 30) * MINUTE, () => {
        storm.rough(3 * SECOND);
        storm.main.setWall(0);
      });
    },
  },
  {
    name: 'comes up in 1970',
    perHour: 0.3,
    strike(storm, chance) {
      const { main, world } = storm;
      storm.rough(20 * SECOND);
      main.kill('reset', 3 * SECOND);
      main.setWall(-world.now + 1000);
      storm.during(chance.between(10, 900) * SECOND, () => {
        storm.rough(3 * SECOND);
        main.setWall(0);
      });
    },
  },
  {
    name: 'switched on without a clock',
    perHour: 0,
    atFirst: 0.25,
    strike(storm, chance) {
      const { main, world } = storm;
      storm.rough(20 * SECOND);
      main.kill('reset', SECOND);
      main.setWall(-world.now + 1000);
      // the night is on by the time that somebody tells it the hour
      storm.during(chance.between(4, 25) * MINUTE, () => {
        storm.rough(3 * SECOND);
        main.setWall(0);
      });
    },
  },
  {
    name: 'suspended',
    perHour: 0.5,
    strike(storm, chance) {
      const ms = chance.between(1, 300) * SECOND;
      storm.rough(ms + 10 * SECOND);
      storm.deskGone(storm.main);
      storm.main.freeze(ms, true);
    },
  },
];
