import type { Cable, Circuit, Prop, Yard } from '../yard/types.ts';
import { compressorAmps, limitAmps, standingAmps } from './check-power.ts';
import { above, writeAmps, writeShare } from './figures.ts';
import { plain } from './quantities.ts';
import type { Finding } from './review.ts';
import { meanAmps, type Peak, peaks } from './wants.ts';
import { dropVolts, writeGauge } from './wire.ts';

/** Beyond this a motor starts badly and a board resets. NEC 210.19(A) informational note: advice, not a rule. */
const MOST_DROP = 0.03;
/** Under this share of the limit the least extra plug trips the plan. Common practice, no source. */
const TIGHT = 0.05;

export function reviewCircuits(yard: Yard): Finding[] {
  return [
    ...[...yard.circuits.values()].flatMap((circuit) => reviewCircuit(yard, circuit)),
    ...[...yard.props.values()].flatMap((prop) => reviewCord(yard, prop)),
  ];
}

function reviewCircuit(yard: Yard, circuit: Circuit): Finding[] {
  const findings: Finding[] = [];
  const add = (level: Finding['level'], code: Finding['code'], text: string): void => {
    findings.push({ level, code, text, circuit: circuit.id });
  };
  const all = peaks(yard, circuit);
  const standing = standingAmps(yard, circuit);
  const limit = limitAmps(circuit);
  const worst = all.toSorted((a, b) => b.runAmps - a.runAmps)[0];
  const start = all.toSorted((a, b) => b.surgeAmps - a.surgeAmps)[0];
  const left = limit - standing - (worst?.runAmps ?? 0);
  add('note', 'circuit', circuitText(yard, circuit, worst, start, left));
  if (left < limit * TIGHT) {
    add(
      'warning',
      'tight-circuit',
      `${circuit.title} has ${writeAmps(Math.max(0, left))} left with one scene running: hardly anything else can run beside it.`,
    );
  }
  const mean = meanAmps(yard, circuit);
  if (above(mean, limit - standing)) {
    add(
      'warning',
      'circuit-overbooked',
      `All that is wanted of ${circuit.title} is ${writeAmps(mean)} on average, and ${writeAmps(limit - standing)} are free: some runs will be missing from the plan. Aim less often, or move props to another circuit.`,
    );
  }
  if (above(circuit.continuous, 0.8)) {
    add(
      'warning',
      'above-80',
      `${circuit.title} is set to carry ${writeShare(circuit.continuous)} of its breaker for hours. Above 80 % that is for assemblies rated 100 % only (NEC 210.20(A)); ask an electrician.`,
    );
  }
  if (circuit.cable) {
    const amps = standing + (worst?.runAmps ?? 0);
    const drop = dropText(circuit.cable, circuit.volts, amps);
    const limitDrop = dropVolts(circuit.cable, limit) / circuit.volts;
    add(
      drop.much ? 'warning' : 'note',
      'voltage-drop',
      `Cable to ${circuit.title}: ${drop.text}; at its limit of ${writeAmps(limit)} it would be ${writeShare(limitDrop)}.`,
    );
  }
  return findings;
}

function circuitText(
  yard: Yard,
  circuit: Circuit,
  worst: Peak | undefined,
  start: Peak | undefined,
  left: number,
): string {
  const [standing, compressors] = [circuit.standingAmps, compressorAmps(yard, circuit)];
  const always =
    compressors > 0
      ? `${writeAmps(standing)} standing and ${writeAmps(compressors)} of compressors`
      : `${writeAmps(standing)} standing`;
  const limit = `limit ${writeAmps(limitAmps(circuit))} (${writeShare(circuit.continuous)} of ${writeAmps(circuit.breakerAmps)})`;
  if (!worst || !start) return `${circuit.title}: ${always}; no scene draws on it; ${limit}.`;
  const total = standing + compressors;
  return `${circuit.title}: ${always}; the heaviest scene alone, ${worst.scene.title}, adds ${writeAmps(worst.runAmps)}; ${limit}, ${writeAmps(Math.max(0, left))} left for others. Starting, at most ${writeAmps(total + start.surgeAmps)} (${start.scene.title}) on a ${writeAmps(circuit.breakerAmps)} breaker.`;
}

/** A prop's own cord, at the most that one of its moves draws, with the volts of the circuit it draws on. */
function reviewCord(yard: Yard, prop: Prop): Finding[] {
  const { cable } = prop;
  if (!cable) return [];
  return [...yard.circuits.values()].flatMap((circuit): Finding[] => {
    const draws = [...prop.moves.values()].flatMap((m) => m.loads.filter((l) => l.circuit === circuit.id));
    if (draws.length === 0) return [];
    const drop = dropText(cable, circuit.volts, Math.max(...draws.map((l) => l.runAmps)));
    const starting = Math.max(...draws.map((l) => l.surgeAmps));
    const share = dropVolts(cable, starting) / circuit.volts;
    const text = `Cord of ${prop.title}: ${drop.text}${starting > 0 ? `; starting, at ${writeAmps(starting)}, ${writeShare(share)}` : ''}.`;
    return [
      {
        level: drop.much ? 'warning' : 'note',
        code: 'voltage-drop',
        text,
        prop: prop.id,
        circuit: circuit.id,
      },
    ];
  });
}

function dropText(cable: Cable, volts: number, amps: number): { text: string; much: boolean } {
  const drop = dropVolts(cable, amps);
  const share = drop / volts;
  const much = above(share, MOST_DROP);
  const length = `${plain(Math.round(cable.lengthMm / 10) / 100)} m`;
  const text = `${length} of ${writeGauge(cable.gauge)} lose ${drop.toFixed(2)} V at ${writeAmps(amps)}, ${writeShare(share)} of ${plain(volts)} V`;
  return { text: much ? `${text}, more than 3 %: take a thicker or shorter one` : text, much };
}
