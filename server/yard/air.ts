import type { Tank } from './types.ts';

/**
 * Litres by which a level may miss a switching point and count as there: a tank that fills up to the very moment of
 * a draw is full, whatever the last bit of a sum says.
 */
export const HAIR_LITRES = 1e-9;

/** Standard atmosphere, kPa (by definition, 1 atm). */
export const ATMOSPHERE_KPA = 101.325;

/** What a tank holds above atmosphere, litres of free air: V·p/pa, isothermal. Pressure is gauge, kPa. */
export function freeLitres(tank: Tank, kpa: number): number {
  return (tank.volumeLitres * kpa) / ATMOSPHERE_KPA;
}

/** Gauge pressure in kPa at which the tank holds so many litres of free air. */
export function pressureKpa(tank: Tank, litres: number): number {
  return (litres * ATMOSPHERE_KPA) / tank.volumeLitres;
}

/** A tank's believed content and whether its compressor runs. */
export interface TankLevel {
  readonly atMs: number;
  readonly litres: number;
  readonly pumping: boolean;
}

export function fullTank(tank: Tank, atMs: number): TankLevel {
  return { atMs, litres: freeLitres(tank, tank.cutOutKpa), pumping: false };
}

/** The level at a later time with no draw in between: the compressor fills up to cut-out, then stops. */
export function advance(tank: Tank, level: TankLevel, atMs: number): TankLevel {
  if (!level.pumping) return { atMs, litres: level.litres, pumping: false };
  const full = freeLitres(tank, tank.cutOutKpa);
  const litres = level.litres + (tank.deliveryLpm * (atMs - level.atMs)) / 60_000;
  return litres >= full - HAIR_LITRES
    ? { atMs, litres: full, pumping: false }
    : { atMs, litres, pumping: true };
}

/** The level after a draw of free air at its own instant; the compressor starts at or below cut-in. */
export function draw(tank: Tank, level: TankLevel, litres: number): TankLevel {
  const left = level.litres - litres;
  return {
    atMs: level.atMs,
    litres: left,
    pumping: level.pumping || left <= freeLitres(tank, tank.cutInKpa) + HAIR_LITRES,
  };
}
