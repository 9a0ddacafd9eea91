import type { Reason } from '../../show/reasons.ts';
import { listed, quoted } from '../figures.ts';
import { isMat, type WordContext, type Words } from '../words.ts';

/*
 * A title may be of any gender, one or many, and nobody told us: `Laternen`, `Fähre`. So no article and no verb is
 * ever bound to one. It stands alone (`Fähre gesperrt`) or after a preposition (`von Laternen nichts zu hören`).
 */

/** `near`, `near und far`, `near, middle und far`. */
export function und(items: readonly string[]): string {
  return listed(items, 'und');
}

/** A name or a word from outside, in German quotation marks. */
export function zitat(text: string): string {
  return `„${quoted(text).slice(1, -1)}“`;
}

/** `1 Nachricht`, `12 Nachrichten`. */
export function anzahl(n: number, one: string, many: string): string {
  return `${Number.isFinite(n) ? n.toFixed(0) : '?'} ${n === 1 ? one : many}`;
}

/** `clause` comes from the caller, since the sentences themselves are written with these words. */
export function germanNames(context: WordContext, clause: (reason: Reason) => string): Words {
  const { yard } = context;
  const prop = (id: string) => yard.props.get(id)?.title ?? id;
  const sensor = (id: string, s: string) => (isMat(yard, id, s) ? prop(id) : `Sensor ${s} von ${prop(id)}`);
  return {
    context,
    prop,
    move: (id, move) => `Bewegung ${zitat(move)} von ${prop(id)}`,
    sensor,
    made: (id, s) => (isMat(yard, id, s) ? 'betreten' : 'belegt'),
    need: (n) => {
      if (n.kind === 'made') return `${sensor(n.prop, n.sensor)} belegt`;
      if (n.kind === 'not-made') return `${sensor(n.prop, n.sensor)} nicht belegt`;
      return `${prop(n.prop)} ${n.kind === 'at-rest' ? 'in Ruhe' : 'in Grundstellung'}`;
    },
    scene: (id) => yard.scenes.get(id)?.title ?? id,
    circuit: (id) => yard.circuits.get(id)?.title ?? id,
    tank: (id) => yard.tanks.get(id)?.title ?? id,
    zone: (id) => yard.zones.get(id)?.title ?? id,
    board: (controller) => {
      const props = yard.controllers.get(controller) ?? [];
      return props.length === 1 ? prop(props[0]!) : `Platine ${zitat(controller)}`;
    },
    clause,
  };
}
