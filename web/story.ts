import type { RecordLine } from '../server/desk-door.ts';
import type { FatedPlan } from './store.ts';

/** What is told at most; older lines are on the night's page. */
const STORY_LINES = 60;

/**
 * The lines of the record that tell why things happened to a prop, newest first: its own, those of the scenes that
 * move it tonight, and those of the whole yard that stopped or changed everything.
 */
export function storyOf(lines: readonly RecordLine[], prop: string, plan: FatedPlan | null): RecordLine[] {
  const scenes = new Set(
    (plan?.runs ?? []).filter((run) => run.steps.some((step) => step.prop === prop)).map((run) => run.scene),
  );
  const told = lines.filter((line) => {
    if (line.prop !== null) return line.prop === prop;
    if (line.scene !== null) return scenes.has(line.scene);
    return WHOLE_YARD.has(line.code);
  });
  return told.slice(-STORY_LINES).reverse();
}

const WHOLE_YARD: ReadonlySet<string> = new Set(['stop-pressed', 'stop-cleared', 'mode-now', 'desk-started']);
