import type { Scene, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';

/** Looks at how each scene is made; whether it could ever run is check-runs.ts. */
export function checkScenes(yard: Yard, book: Book): void {
  const triggers = new Map<string, string>();
  for (const scene of yard.scenes.values()) {
    const path: Path = ['scenes', scene.id];
    checkSteps(book, path, scene);
    checkTogether(book, path, scene);
    checkTrigger(yard, book, path, scene);
    checkIdle(book, path, scene, triggers);
  }
  for (const section of ['circuits', 'tanks', 'zones'] as const) checkUnused(yard, book, section);
}

function checkSteps(book: Book, path: Path, scene: Scene): void {
  if (!book.clean([...path, 'steps']) || scene.steps.some((s) => s.kind !== 'wait')) return;
  const none = scene.steps.length === 0 ? 'has no steps' : 'only waits';
  const say = `the scene \`${scene.id}\` ${none}: nothing would move. Add a move, as \`steps: [ferry.out]\`.`;
  book.fail([...path, 'steps'], { say, wanted: 'at least one move', example: 'steps: [ferry.out]' });
}

function checkTogether(book: Book, path: Path, scene: Scene): void {
  scene.steps.forEach((step, i) => {
    if (step.kind !== 'together') return;
    const at = [...path, 'steps', i, 'together'];
    if (step.moves.length === 0 && book.clean(at)) {
      const say =
        '`together` names no moves. Write `together: [lantern.flicker, hatch.slam]`, or take it out.';
      book.fail(at, {
        say,
        wanted: 'moves of different props',
        example: 'together: [lantern.flicker, hatch.slam]',
      });
    }
    const seen = new Set<string>();
    step.moves.forEach((m, j) => {
      if (seen.has(m.prop)) {
        const say = `\`${m.prop}\` stands twice in one \`together\`, and a prop makes one move at a time. Make it a step of its own.`;
        book.fail([...at, j], { say, wanted: 'each prop once', example: `- ${m.prop}.${m.move}` });
      }
      seen.add(m.prop);
    });
  });
}

function checkTrigger(yard: Yard, book: Book, path: Path, scene: Scene): void {
  if (!scene.on) {
    if (book.wrote([...path, 'again-after'])) {
      book.note(
        [...path, 'again-after'],
        `\`again-after\` of \`${scene.id}\` does nothing: no trigger (\`on\`) sets it off.`,
      );
    }
    return;
  }
  if (yard.props.get(scene.on.prop)?.kind === 'stop-station') {
    const say = `\`${scene.on.prop}.${scene.on.sensor}\` is a red button: pressing it stops the yard and starts nothing. Use another sensor.`;
    book.fail([...path, 'on'], { say, wanted: 'a sensor that guests may set off', example: 'path-mat.step' });
  }
}

/** Notes what does nothing, and a trigger that sets off more than one scene. `triggers`: those of the scenes before. */
function checkIdle(book: Book, path: Path, scene: Scene, triggers: Map<string, string>): void {
  if (scene.everyMs === null) {
    for (const key of ['vary', 'weight'] as const) {
      if (!book.wrote([...path, key])) continue;
      book.note(
        [...path, key],
        `\`${key}\` of \`${scene.id}\` does nothing: without \`every\` it is in no plan.`,
      );
    }
  }
  if (!scene.on) return;
  const trigger = `${scene.on.prop}.${scene.on.sensor}`;
  const other = triggers.get(trigger);
  if (other === undefined) triggers.set(trigger, scene.id);
  else book.note([...path, 'on'], `\`${trigger}\` sets off \`${other}\` too: both start if both can.`);
}

function checkUnused(yard: Yard, book: Book, section: 'circuits' | 'tanks' | 'zones'): void {
  const used = new Set<string>();
  for (const tank of yard.tanks.values()) if (section === 'circuits') used.add(tank.compressor.circuit);
  for (const prop of yard.props.values()) {
    if (section === 'zones' && prop.zone !== null) used.add(prop.zone);
    for (const move of prop.moves.values()) {
      if (section === 'circuits') for (const l of move.loads) used.add(l.circuit);
      if (section === 'tanks') for (const a of move.air) used.add(a.tank);
    }
  }
  if (section === 'zones')
    for (const scene of yard.scenes.values()) if (scene.zone !== null) used.add(scene.zone);
  for (const id of yard[section].keys()) {
    if (!used.has(id))
      book.note(
        [section, id],
        `nothing uses ${section === 'zones' ? 'the zone' : section === 'tanks' ? 'the air of' : 'the circuit'} \`${id}\`.`,
      );
  }
}
