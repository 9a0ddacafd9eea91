import { localTime, rfc3339 } from '../calendar/local-time.ts';
import { minutes } from '../plan/explain.ts';
import { planTonight } from '../plan/plan.ts';
import { type RehearsedNight, rehearseNight } from '../rehearse/night.ts';
import { RED_BUTTON_SHORT } from '../words/en/notice.ts';
import type { Yard } from '../yard/types.ts';
import { err, No, nightOf, out, yardOf } from './say.ts';

export interface RehearseFlags {
  readonly night?: string;
  readonly storm?: string;
  readonly json?: boolean;
}

/** `dusklatch rehearse FILE --night DATE`: 0 where no rule of the core (`checkShow`) broke. */
export function rehearseCommand(file: string, flags: RehearseFlags): number {
  const { yard } = yardOf(file);
  const night = nightOf(yard, flags.night);
  const storm = flags.storm === undefined ? null : Number(flags.storm);
  if (storm !== null && !Number.isSafeInteger(storm))
    throw new No(`--storm wants a whole number, not '${flags.storm}'.`, 2);
  const plan = planTonight(yard, night, { stamp: (ms) => rfc3339(yard, ms) });
  const begun = performance.now();
  const r = rehearseNight(yard, night, plan, storm);
  const tookMs = performance.now() - begun;
  out(flags.json ? JSON.stringify(r, null, 2) : told(yard, r, tookMs, storm));
  err(RED_BUTTON_SHORT);
  return r.breach === null ? 0 : 1;
}

function told(yard: Yard, r: RehearsedNight, tookMs: number, storm: number | null): string {
  const lines = [
    `${yard.title}, night of ${r.night}, rehearsed with stand-ins${storm === null ? '' : `, storm ${storm}`}: ` +
      `${(r.simulatedMs / 3_600_000).toFixed(1)} h in ${(tookMs / 1000).toFixed(1)} s.`,
    '',
    'Scene                          planned   made  failed  given up  skipped  longest gap planned         made',
  ];
  for (const [id, s] of Object.entries(r.scenes)) {
    const title = yard.scenes.get(id)!.title.slice(0, 28).padEnd(30);
    lines.push(
      `${title} ${String(s.planned).padStart(7)} ${String(s.made).padStart(6)} ${String(s.failed).padStart(7)} ` +
        `${String(s.abandoned).padStart(9)} ${String(s.skipped).padStart(8)} ` +
        `${gap(s.gapPlannedMs).padStart(20)} ${gap(s.gapMadeMs).padStart(12)}`,
    );
  }
  if (r.late)
    lines.push(
      '',
      `Half of the runs started within ${seconds(r.late.medianMs)} of their time, the latest ${seconds(r.late.mostMs)} after it. ` +
        (r.mends === 0
          ? 'The plan needed no mending.'
          : `The rest of the plan was mended ${r.mends === 1 ? 'once' : `${r.mends} times`}.`),
    );
  const at = (ms: number): string => localTime(yard, ms, { seconds: true });
  if (r.injected.length > 0)
    lines.push('', 'Faults put on:', ...r.injected.map((i) => `  ${at(i.at)} ${i.text}`));
  if (r.trouble.length > 0) lines.push('', 'Trouble:', ...r.trouble.map((t) => `  ${at(t.at)} ${t.text}`));
  if (r.stuck.length > 0)
    lines.push('', `Out at the end: ${r.stuck.map((s) => `${s.prop} (${s.why})`).join(', ')}.`);
  lines.push('', r.breach === null ? 'No rule was broken.' : `BROKEN: ${r.breach}`);
  return lines.join('\n');
}

/** A scene that the plan does not hold has no gaps. */
function gap(ms: number): string {
  return ms === 0 ? '–' : minutes(ms / 1000);
}

function seconds(ms: number): string {
  return `${(ms / 1000).toFixed(ms < 10_000 ? 1 : 0)} s`;
}
