import { freeLitres } from '../yard/air.ts';
import type { Tank, Yard } from '../yard/types.ts';
import { above, joined, writeAmps, writeLitres, writePressure, writeShare } from './figures.ts';
import type { Finding } from './review.ts';
import { airAnHour, airOf } from './wants.ts';

export function reviewAir(yard: Yard): Finding[] {
  const findings = [...yard.tanks.values()].flatMap((tank) => reviewTank(yard, tank));
  const pneumatic = [...yard.props.values()].filter((p) =>
    [...p.moves.values()].some((m) => m.air.length > 0),
  );
  if (pneumatic.length > 0) {
    const titles = joined(pneumatic.map((p) => p.title));
    findings.push({
      level: 'note',
      code: 'stored-air',
      text: `${titles} ${pneumatic.length === 1 ? 'moves' : 'move'} by air, which keeps its force when power goes: the red button must cut and let out the air too.`,
    });
  }
  return findings;
}

function reviewTank(yard: Yard, tank: Tank): Finding[] {
  const findings: Finding[] = [];
  const add = (level: Finding['level'], code: Finding['code'], text: string): void => {
    findings.push({ level, code, text, tank: tank.id });
  };
  const wanted = airAnHour(yard, tank);
  const delivers = tank.deliveryLpm * 60;
  const usable = freeLitres(tank, tank.cutOutKpa) - freeLitres(tank, tank.workingKpa);
  add(
    'note',
    'tank',
    `${tank.title}: ${writeLitres(usable)} of free air from cut-out (${writePressure(tank.cutOutKpa)}) down to working (${writePressure(tank.workingKpa)}). Wanted ${writeLitres(wanted)} an hour, delivered ${writeLitres(delivers)}: the compressor runs ${writeShare(Math.min(1, wanted / delivers))} of the time.`,
  );
  if (above(wanted, delivers)) {
    add(
      'warning',
      'tank-overbooked',
      `${tank.title} is wanted for ${writeLitres(wanted)} an hour and gets ${writeLitres(delivers)}: some runs will be missing from the plan.`,
    );
  }
  const circuit = yard.circuits.get(tank.compressor.circuit);
  add(
    'note',
    'compressor-start',
    `The compressor of ${tank.title} counts with its running ${writeAmps(tank.compressor.amps)} on ${circuit?.title ?? tank.compressor.circuit}. As it starts it draws about six times that for a moment (NEC Table 430.251(A)), which no plan can foresee: best alone on its circuit.`,
  );
  const stuck = whyStuck(yard, tank);
  if (stuck !== null) add('warning', 'tank-may-stick', stuck);
  return findings;
}

/**
 * Draws can end with the tank just above cut-in: the compressor does not start, and a scene that needs more than lies
 * between there and `working` waits for ever. Below that it can't happen.
 */
function whyStuck(yard: Yard, tank: Tank): string | null {
  const between = freeLitres(tank, tank.cutInKpa) - freeLitres(tank, tank.workingKpa);
  const worst = [...yard.scenes.values()]
    .map((scene) => ({ scene, litres: airOf(yard, scene, tank) }))
    .toSorted((a, b) => b.litres - a.litres)[0];
  if (!worst || !above(worst.litres, between)) return null;
  return `${worst.scene.title} draws ${writeLitres(worst.litres)}, and between cut-in and working ${tank.title} holds ${writeLitres(between)}: stopped just above cut-in, the compressor does not start and the scene can't run. Lower \`working\`, raise \`cut-in\`, or take a larger tank.`;
}
