import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { DemoDoor } from './api/call.ts';
import { localDate } from './calendar/local-time.ts';
import type { NightTimes } from './plan/tonight.ts';
import { FAULTS, isFault } from './standin/faults.ts';
import type { Yard } from './yard/types.ts';

const OPEN_FOR_MS = 4 * 3_600_000;
/** Short, so that a visitor sees something move within the minute; a yard of one's own keeps its file's notice. */
const NOTICE_MS = 8000;

/** The stand-ins connect and make themselves known first. */
const SETTLE_MS = 3000;

/** The demonstration's night: from now, for four hours, without quiet, opening by itself. */
export function demoNight(yard: Yard, nowMs: number): NightTimes {
  const openMs = nowMs + SETTLE_MS + NOTICE_MS;
  return {
    date: `${localDate(yard, nowMs)}-hand`,
    prepareMs: nowMs,
    openMs,
    closeMs: openMs + OPEN_FOR_MS,
    quietMs: null,
    opensByItself: true,
    noticeMs: NOTICE_MS,
    noticeScene: yard.nights[0]?.noticeScene ?? null,
  };
}

export interface Standins {
  readonly door: DemoDoor;
  close(): void;
}

/** The stand-ins as a program of their own, on the same bus as boards would be. */
export function startStandins(file: string, yard: Yard, url: string, log: (text: string) => void): Standins {
  const program = fileURLToPath(new URL('./standin/main.js', import.meta.url));
  const child: ChildProcess = spawn(process.execPath, [program, file, '--bus', url], {
    stdio: ['pipe', 'ignore', 'inherit', 'ipc'],
  });
  let closing = false;
  let faults: { prop: string; fault: string }[] = [];
  const say = (line: string): void => {
    if (child.connected) child.send(line);
  };
  child.on('exit', (code) => {
    if (!closing) log(`The stand-ins ended by themselves (${code}). Start the demonstration again.`);
  });
  child.on('error', (error) => log(`The stand-ins could not be started: ${error.message}`));
  return {
    door: {
      faultsOf: (prop) => (yard.props.has(prop) ? Object.keys(FAULTS) : null),
      setFault(prop, fault, on) {
        if (!isFault(fault)) return;
        const { of } = FAULTS[fault];
        const target = of === 'controller' ? yard.props.get(prop)!.controller : prop;
        // To mend takes every fault off its target.
        faults = faults.filter((f) => f.prop !== prop || (on && f.fault !== fault));
        if (on) faults.push({ prop, fault });
        say(on ? `${fault} ${target}` : `mend ${target}`);
      },
      faults: () => faults,
      mendAll() {
        faults = [];
        say('mend all');
      },
      press(prop, sensor) {
        if (yard.props.get(prop)?.sensors.get(sensor)?.kind !== 'plain') return false;
        say(`press ${prop}.${sensor}`);
        return true;
      },
    },
    close() {
      closing = true;
      if (child.connected) child.disconnect();
      child.kill();
    },
  };
}
