import type { Yard } from '../yard/types.ts';
import { Board } from './board.ts';
import { seeded, seedOf } from './chance.ts';
import { Machine } from './physics.ts';
import { type Supply, supplyOf } from './supply.ts';

export interface CrewOptions {
  readonly yard: Yard;
  /** Of the props' quirks and, unless `wordSeed` is given, the session words: the same seed, the same run. */
  readonly seed: number;
  /** Of the session words alone; where boards are real to a bus it must be chance, as no word may come back. */
  readonly wordSeed?: number;
  /** The virtual time at which they have power; 0 unless told. */
  readonly atMs?: number;
  /** Only these controllers; by default all. */
  readonly only?: readonly string[];
  /** Prop → the sensor or share of its way at which it stands at power-up; by default its home. */
  readonly stands?: Readonly<Record<string, string | number>>;
  /** Share by which a move's speed may differ; by default a few per cent. */
  readonly spread?: number;
}

/** The boards of a yard, the props they drive, and the air these share. */
export interface Crew {
  readonly yard: Yard;
  readonly boards: ReadonlyMap<string, Board>;
  readonly machines: ReadonlyMap<string, Machine>;
  readonly supply: Supply;
}

/** Throws where `only` names a controller that the yard does not have. */
export function crewOf(options: CrewOptions): Crew {
  const { yard, seed, atMs = 0 } = options;
  const only = options.only ?? [...yard.controllers.keys()];
  const supply = supplyOf(yard.tanks, atMs);
  const boards = new Map<string, Board>();
  const machines = new Map<string, Machine>();
  for (const controller of only) {
    const props = yard.controllers.get(controller);
    if (!props) {
      const known = [...yard.controllers.keys()].join(', ');
      throw new Error(`The yard has no controller '${controller}'. It has: ${known}.`);
    }
    for (const id of props) {
      const stands = options.stands && Object.hasOwn(options.stands, id) ? options.stands[id] : undefined;
      const machine = new Machine(yard.props.get(id)!, {
        atMs,
        chance: seeded(seedOf(seed, `prop ${id}`)),
        supply,
        ...(stands === undefined ? {} : { stands }),
        ...(options.spread === undefined ? {} : { spread: options.spread }),
      });
      machines.set(id, machine);
    }
    boards.set(
      controller,
      new Board({
        controller,
        root: yard.bus.root,
        machines: props.map((id) => machines.get(id)!),
        chance: seeded(seedOf(options.wordSeed ?? seed, `board ${controller}`)),
        atMs,
      }),
    );
  }
  return { yard, boards, machines, supply };
}
