import { Counter, Gauge, type Registry } from 'prom-client';
import type { Desk } from './desk.ts';

/** The desk's own figures beside those of the api. */
export function countDesk(registry: Registry, desk: Desk): void {
  const registers = [registry];
  const counts: [string, string, () => number][] = [
    ['dusklatch_turns_total', 'Turns of the desk', () => desk.counts.turns],
    ['dusklatch_events_total', 'Events taken', () => desk.counts.events],
    ['dusklatch_bus_dropped_total', 'Messages on the bus that could not be used', () => desk.counts.dropped],
    ['dusklatch_bus_overflowed_total', 'Messages dropped because too many waited', () => desk.overflowed],
    ['dusklatch_stalls_total', 'Times the loop stood still', () => desk.counts.stalls],
  ];
  for (const [name, help, value] of counts) {
    new Counter({
      name,
      help,
      registers,
      collect() {
        this.reset();
        this.inc(value());
      },
    });
  }
  const gauge = (name: string, help: string, value: () => number): void => {
    new Gauge({
      name,
      help,
      registers,
      collect() {
        this.set(value());
      },
    });
  };
  gauge('dusklatch_bus_connected', '1 while the bus is there', () => Number(desk.show.desk.connected));
  gauge('dusklatch_stop_latched', '1 while a stop is latched', () => Number(desk.show.stop.latched));
  gauge('dusklatch_runs', 'Runs under way', () => desk.show.runs.length);
  gauge(
    'dusklatch_lockouts',
    'Props locked out',
    () => Object.values(desk.show.props).filter((p) => p.lockout).length,
  );
}
