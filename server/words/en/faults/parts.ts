import type { Fault } from '../../../show/reasons.ts';

/** Comes ahead of every check for which a hand goes in; a test holds the families to it. Common practice, no source. */
export const HANDS =
  'Before any hand goes in: switch its motor power off, lock it out, pull its plug and keep it in sight; let the air out and hold up what hangs. Only its board and sensors stay on.';
/** The bench, with what it asks for. */
export const ON_BENCH = 'on the bench, which works only while the yard is held or closed';
/** How a supply is measured under load without standing at the machine. */
export const MEASURE_CLEAR = 'Clip the meter on with the power off, stand clear, then let it be moved';

export const RELEASE_WILL =
  'Puts it back into service: from the next run that wants it, it is planned and moved again. If it is not known where it stands, it goes home first, and not at once.';
export const RELEASE_WONT =
  'Moves nothing by itself, clears no stop, and mends nothing: a cause that is still there raises the fault again.';

/** `the far sensor`, or a phrase where the fault names none, as on its page. */
export function theSensor(id: string | undefined, otherwise: string): string {
  return id === undefined ? otherwise : `the ${id} sensor`;
}

/** `near`, or a phrase where the fault names no end. */
export function end(id: string | undefined, otherwise: string): string {
  return id ?? otherwise;
}

/** `'out'`, or `its move`. */
export function moveWord(fault: Fault): string {
  return fault.move === undefined ? 'its move' : `'${fault.move}'`;
}
