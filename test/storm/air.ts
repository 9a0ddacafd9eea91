import type { Tank } from '../../server/yard/types.ts';
import type { World } from './world.ts';

/** The real tank: litres of free air above the atmosphere, V·p/pa with pa = 101.325 kPa (isothermal). */
export const ATMOSPHERE_KPA = 101.325;

export class TrueTank {
  readonly tank: Tank;
  readonly #world: World;
  #litres: number;
  #pumping = false;
  #at: number;
  leakLpm = 0;
  /** A leak, a dead compressor or an order that never left has made it differ from what is reckoned, until it is full once more. */
  disturbed = false;
  compressorDead = false;

  constructor(world: World, tank: Tank) {
    this.#world = world;
    this.tank = tank;
    this.#litres = this.#free(tank.cutOutKpa);
    this.#at = world.now;
  }

  #free(kpa: number): number {
    return (this.tank.volumeLitres * kpa) / ATMOSPHERE_KPA;
  }

  get kpa(): number {
    this.#advance();
    return (this.#litres * ATMOSPHERE_KPA) / this.tank.volumeLitres;
  }

  draw(litres: number): number {
    this.#advance();
    this.#litres = Math.max(0, this.#litres - litres);
    this.#switch();
    return (this.#litres * ATMOSPHERE_KPA) / this.tank.volumeLitres;
  }

  leak(litresPerMinute: number): void {
    this.#advance();
    this.leakLpm = litresPerMinute;
    if (litresPerMinute > 0) this.disturbed = true;
  }

  mend(): void {
    this.leak(0);
    this.compressorDead = false;
    this.#litres = this.#free(this.tank.cutOutKpa);
    this.#pumping = false;
    this.disturbed = false;
  }

  #switch(): void {
    if (this.#litres <= this.#free(this.tank.cutInKpa)) this.#pumping = true;
  }

  #advance(): void {
    const minutes = (this.#world.now - this.#at) / 60_000;
    this.#at = this.#world.now;
    if (minutes <= 0) return;
    const flow = (this.#pumping && !this.compressorDead ? this.tank.deliveryLpm : 0) - this.leakLpm;
    this.#litres = Math.max(0, this.#litres + flow * minutes);
    const full = this.#free(this.tank.cutOutKpa);
    if (this.#litres >= full) {
      this.#litres = full;
      if (this.#pumping && this.leakLpm === 0) this.disturbed = false;
      this.#pumping = false;
    }
    this.#switch();
  }
}
