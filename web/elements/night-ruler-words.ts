import { html, nothing } from 'lit';
import type { Picture, RunFate } from '../../server/picture.ts';
import type { Placed, Unplanned } from '../ruler.ts';
import type { FatedPlan } from '../store.ts';
import { shortClockOf } from '../time.ts';
import { titleOf } from '../view.ts';
import { words } from '../words.ts';
import { markOf } from './marks.ts';
import { originMark, saidOf, wasLost } from './unplanned-runs.ts';

/** What of a zone lies in the stretch that the ruler shows. */
export interface Row {
  readonly title: string;
  readonly placed: Placed[];
  readonly besides: Unplanned[];
}

export const MISSED: readonly RunFate['state'][] = ['skipped', 'failed', 'abandoned', 'stopped'];
/** Runs on no plan that stand under the ruler at once; more are folded. */
const SHOWN = 4;

/** Under the ruler, in words: what was missed, of the plan or not, then what else ran besides. */
export function ruledInWords(rows: readonly Row[], plan: FatedPlan, picture: Picture) {
  const planned = rows
    .flatMap(({ placed }) => placed)
    .filter(({ run }) => MISSED.includes(run.state))
    .map(({ run: { state, scene, why }, planned: { fromMs } }) => {
      const said = words.ruler.missed(titleOf(picture.scenes, scene), words.fates[state], why);
      return { at: fromMs, state, said };
    });
  const besides = rows.flatMap((row) => row.besides).sort((a, b) => a.actual.fromMs - b.actual.fromMs);
  const lost = besides
    .filter(wasLost)
    .map((one) => ({ at: one.actual.fromMs, state: one.run.state, said: saidOf(one, picture) }));
  const missed = [...planned, ...lost].sort((a, b) => a.at - b.at);
  const none = plan.runs.length === 0 ? words.ruler.nonePlanned : words.ruler.noneMissed;
  return html`${planned.length > 0 ? nothing : html`<p class="soft">${none}</p>`}
    ${missed.length === 0 ? nothing : html`<ul>${missed.map((one) => missedRow(one, picture))}</ul>`}
    ${unplannedList(
      besides.filter((one) => !wasLost(one)),
      picture,
    )}`;
}

function missedRow(
  { at, state, said }: { at: number; state: RunFate['state']; said: string },
  { yard }: Picture,
) {
  return html`<li>
    ${markOf(state === 'abandoned' ? 'skipped' : state)}
    <span>${shortClockOf(at, yard.timezone)}</span>
    <span>${said}</span>
  </li>`;
}

/** Those that went well or go on, folded where they are many. */
function unplannedList(all: readonly Unplanned[], picture: Picture) {
  if (all.length === 0) return nothing;
  const list = html`<ul>
    ${all.map(
      (one) => html`<li class="besides">
        ${originMark(one.run.origin)}
        <span>${shortClockOf(one.run.actualStart, picture.yard.timezone)}</span>
        <span>${saidOf(one, picture)}</span>
      </li>`,
    )}
  </ul>`;
  if (all.length <= SHOWN) return list;
  return html`<details>
    <summary>${words.ruler.besides(all.length)}</summary>
    ${list}
  </details>`;
}
