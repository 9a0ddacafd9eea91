import type { Machine } from './physics.ts';
import type { Topics } from './topics.ts';

/** What a sensor last read, and its edges since boot. */
export interface Reading {
  readonly machine: Machine;
  readonly sensor: string;
  readonly topic: string;
  made: boolean;
  n: number;
}

/** A board's sensors as it last read them. */
export class Readings {
  readonly all: readonly Reading[];

  constructor(machines: readonly Machine[], topics: Topics) {
    this.all = machines.flatMap((machine) =>
      [...machine.prop.sensors.keys()].map((sensor) => {
        const topic = topics.sense(machine.prop.id, sensor);
        return { machine, sensor, topic, made: machine.reads(sensor), n: 0 };
      }),
    );
  }

  /** Reads every sensor and tells those that changed. */
  take(tell: (changed: Reading) => void): void {
    for (const r of this.all) {
      const made = r.machine.reads(r.sensor);
      if (made === r.made) continue;
      r.made = made;
      r.n += 1;
      tell(r);
    }
  }

  /** Counts from the start again. */
  boot(): void {
    for (const r of this.all) {
      r.made = r.machine.reads(r.sensor);
      r.n = 0;
    }
  }
}
