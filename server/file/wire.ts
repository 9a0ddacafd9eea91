import type { Cable } from '../yard/types.ts';

/**
 * Copper wire's resistance for the voltage-drop review. Nothing here limits anything.
 */

/** ohm per 1000 ft, stranded uncoated copper at 75 °C, by AWG: NEC Chapter 9 Table 8 as reproduced in wire-size tables. */
const TABLE_8: ReadonlyMap<number, number> = new Map([
  [18, 7.95],
  [16, 4.99],
  [14, 3.14],
  [12, 1.98],
  [10, 1.24],
  [8, 0.778],
]);

const METRES_PER_KFT = 304.8;

/** ohm mm²/m: IEC 60364-5-52 Annex G, rho1 of copper at its working temperature (1.25 times that at 20 °C). */
const RHO1_COPPER = 0.0225;

/** ohm per metre of one conductor, warm. */
export function ohmsPerMetre(gauge: Cable['gauge']): number {
  if ('mm2' in gauge) return RHO1_COPPER / gauge.mm2;
  return (TABLE_8.get(gauge.awg) ?? ohmsPerKftByGeometry(gauge.awg)) / METRES_PER_KFT;
}

/**
 * For sizes that the table above does not hold: the gauge's diameter 0.005·92^((36 − n)/39) in, copper of
 * 10.371 ohm·cmil/ft at 20 °C, 2 % for the lay of the strands, and 75 °C at 0.00393 a kelvin. Within 1 % of the table.
 */
function ohmsPerKftByGeometry(awg: number): number {
  const mils = 5 * 92 ** ((36 - awg) / 39);
  return (1000 * 10.371 * 1.02 * (1 + 0.00393 * 55)) / mils ** 2;
}

/** Volts lost on the way there and back; resistive load, single phase or direct current. */
export function dropVolts(cable: Cable, amps: number): number {
  return 2 * (cable.lengthMm / 1000) * ohmsPerMetre(cable.gauge) * amps;
}

export function writeGauge(gauge: Cable['gauge']): string {
  return 'mm2' in gauge ? `${gauge.mm2} mm²` : `${gauge.awg} AWG`;
}
