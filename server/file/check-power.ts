import { freeLitres, pressureKpa } from '../yard/air.ts';
import type { Circuit, Load, Tank, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';
import { above, joined, writeAmps, writeLitres, writePressure, writeShare } from './figures.ts';
import { circuitKnown, known } from './known.ts';

/** What always draws on a circuit, A: its standing current and the compressors on it, which start by themselves. */
export function standingAmps(yard: Yard, circuit: Circuit): number {
  return circuit.standingAmps + compressorAmps(yard, circuit);
}

export function compressorAmps(yard: Yard, circuit: Circuit): number {
  let amps = 0;
  for (const { compressor } of yard.tanks.values())
    if (compressor.circuit === circuit.id) amps += compressor.amps;
  return amps;
}

/** What may flow for hours, A (NEC 210.20(A): 125 % of a continuous load is not above the breaker, hence 80 %). */
export function limitAmps(circuit: Circuit): number {
  return circuit.continuous * circuit.breakerAmps;
}

/** Looks at circuits and tanks by themselves and at each move alone on them. */
export function checkPower(yard: Yard, book: Book): void {
  for (const circuit of yard.circuits.values()) {
    if (circuitKnown(book, circuit.id)) checkCircuit(yard, book, circuit);
  }
  for (const tank of yard.tanks.values()) checkTank(book, tank);
  for (const prop of yard.props.values()) {
    for (const move of prop.moves.values()) {
      const path: Path = ['props', prop.id, 'moves', move.id];
      for (const load of move.loads) checkLoad(yard, book, [...path, 'load', load.circuit], load);
      for (const { tank: id, litres } of move.air) {
        const tank = yard.tanks.get(id);
        if (!tank || !known(book, ['tanks', id], ['volume', 'cut-out', 'working'])) continue;
        checkDraw(book, [...path, 'air', id], `${prop.id}.${move.id}`, tank, litres);
      }
    }
  }
}

function checkLoad(yard: Yard, book: Book, path: Path, load: Load): void {
  const circuit = yard.circuits.get(load.circuit);
  if (!circuit || !circuitKnown(book, circuit.id) || !book.clean([...path, 'run'])) return;
  const surgeAmps = book.clean([...path, 'surge']) ? load.surgeAmps : load.runAmps;
  const why = whyTooMuch(yard, circuit, load.runAmps, surgeAmps);
  if (why === null) return;
  const [, prop, , move] = path;
  const room = Math.max(0, limitAmps(circuit) - standingAmps(yard, circuit));
  book.fail(path, {
    say: `\`${prop}.${move}\` can never run: ${why}`,
    wanted: `a load that \`${circuit.id}\` can carry`,
    example: writeAmps(room),
  });
}

function checkCircuit(yard: Yard, book: Book, circuit: Circuit): void {
  const path: Path = ['circuits', circuit.id];
  const [standing, compressors, limit] = [
    circuit.standingAmps,
    compressorAmps(yard, circuit),
    limitAmps(circuit),
  ];
  if (!above(standing + compressors, limit)) return;
  const parts = joined([
    ...(standing > 0 ? [`${writeAmps(standing)} standing`] : []),
    ...(compressors > 0 ? [`${writeAmps(compressors)} of compressors`] : []),
  ]);
  const say = `\`${circuit.id}\` is over its limit before anything moves: ${parts}, and it carries ${writeAmps(limit)} for hours (${writeShare(circuit.continuous)} of ${writeAmps(circuit.breakerAmps)}). Move something to another circuit.`;
  const at = compressors > standing || !book.wrote([...path, 'standing']) ? path : [...path, 'standing'];
  book.fail(
    at,
    {
      say,
      wanted: `at most ${writeAmps(limit)} standing and compressors`,
      example: writeAmps(Math.max(0, limit - compressors)),
    },
    at === path ? 'key' : 'value',
  );
}

/**
 * Why a draw is too much for a circuit with nothing else running; null where it is not. Both rules of the yard: standing and
 * running within the continuous share, standing and surges within the breaker.
 */
export function whyTooMuch(yard: Yard, circuit: Circuit, runAmps: number, surgeAmps: number): string | null {
  const standing = standingAmps(yard, circuit);
  const limit = limitAmps(circuit);
  // Said once of the circuit itself, not of each move on it.
  if (above(standing, limit)) return null;
  const always = standing > 0 ? `; with ${writeAmps(standing)} that always draws that is ` : ', ';
  if (above(standing + runAmps, limit)) {
    return `it runs at ${writeAmps(runAmps)}${always}${standing > 0 ? writeAmps(standing + runAmps) : 'alone'}, and \`${circuit.id}\` carries ${writeAmps(limit)} for hours (${writeShare(circuit.continuous)} of ${writeAmps(circuit.breakerAmps)}).`;
  }
  if (above(standing + surgeAmps, circuit.breakerAmps)) {
    return `it starts with ${writeAmps(surgeAmps)}${always}${standing > 0 ? writeAmps(standing + surgeAmps) : 'alone'}, and the breaker of \`${circuit.id}\` is ${writeAmps(circuit.breakerAmps)}.`;
  }
  return null;
}

function checkTank(book: Book, tank: Tank): void {
  const path: Path = ['tanks', tank.id];
  const [cutIn, cutOut, working] = (['cut-in', 'cut-out', 'working'] as const).map((key) =>
    book.clean([...path, key]),
  );
  if (cutIn && cutOut && tank.cutInKpa >= tank.cutOutKpa) {
    const say = `${book.quote([...path, 'cut-in'])} is not below ${book.quote([...path, 'cut-out'])}: the compressor starts at cut-in and stops at cut-out.`;
    book.fail([...path, 'cut-in'], {
      say,
      wanted: 'a pressure below `cut-out`',
      example: writePsi(tank.cutOutKpa * 0.75),
    });
  }
  if (working && cutIn && tank.workingKpa > tank.cutInKpa) {
    const say = `${book.quote([...path, 'working'])} is above ${book.quote([...path, 'cut-in'])}: draws would stop before the compressor ever starts, and the tank would stay as it is for ever. Set it lower than cut-in, with room for a draw.`;
    book.fail([...path, 'working'], {
      say,
      wanted: 'a pressure below `cut-in`',
      example: writePsi(tank.cutInKpa * 0.75),
    });
  } else if (working && cutOut && tank.workingKpa >= tank.cutOutKpa) {
    const say = `${book.quote([...path, 'working'])} is not below ${book.quote([...path, 'cut-out'])}, which is the most that the tank ever holds: no draw would leave so much. Set it lower than cut-in, with room for a draw.`;
    book.fail([...path, 'working'], {
      say,
      wanted: 'a pressure below `cut-in`',
      example: writePsi(tank.cutOutKpa * 0.5),
    });
  }
}

function checkDraw(book: Book, path: Path, name: string, tank: Tank, litres: number): void {
  const left = pressureKpa(tank, freeLitres(tank, tank.cutOutKpa) - litres);
  if (!above(tank.workingKpa, left)) return;
  const room = freeLitres(tank, tank.cutOutKpa) - freeLitres(tank, tank.workingKpa);
  if (room <= 0) return;
  const after = left > 0 ? `leaves ${writePressure(left)}` : 'is more than it holds';
  const say = `\`${name}\` can never run: it draws ${writeLitres(litres)} of free air, which from a full \`${tank.id}\` ${after}, and ${writePressure(tank.workingKpa)} must be left. It can give ${writeLitres(room)}.`;
  book.fail(path, {
    say,
    wanted: `at most ${writeLitres(room)}`,
    example: `${Math.floor(room * 10) / 10} l`,
  });
}

function writePsi(kpa: number): string {
  return `${Math.max(1, Math.round(kpa / 6.894757))} psi`;
}
