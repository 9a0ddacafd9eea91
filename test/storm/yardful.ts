import type { Yard } from '../../server/yard/types.ts';
import type { TrueTank } from './air.ts';
import type { Board } from './board.ts';
import type { Body } from './body.ts';

/** Everything that stands in the yard. */
export class Yardful {
  readonly yard: Yard;
  readonly boards = new Map<string, Board>();
  readonly bodies = new Map<string, Body>();
  readonly tanks = new Map<string, TrueTank>();
  /** Readings that a queue threw away: until the sensor is heard again the desk can't know better. */
  readonly unheard = new Set<string>();
  readonly #energisedAt = new Map<string, number>();
  readonly #edgeAt = new Map<string, number>();

  constructor(yard: Yard) {
    this.yard = yard;
  }

  boardOf(prop: string): Board {
    return this.boards.get(this.yard.props.get(prop)!.controller)!;
  }

  noteEnergised(prop: string, at: number): void {
    this.#energisedAt.set(prop, at);
  }

  noteEdge(prop: string, sensor: string, at: number): void {
    this.#edgeAt.set(`${prop}/${sensor}`, at);
  }

  energisedAt(prop: string): number {
    return this.#energisedAt.get(prop) ?? Number.NEGATIVE_INFINITY;
  }

  edgeAt(prop: string, sensor: string): number {
    return this.#edgeAt.get(`${prop}/${sensor}`) ?? Number.NEGATIVE_INFINITY;
  }
}
