import type { Picture } from '../server/picture.ts';
import { isLive } from './view.ts';
import type { Words } from './words.ts';

/** What the yard does as a whole: the desk's own word where it has one. At rest is said only where all are heard to be. */
export function modeText(words: Words, picture: Picture): string {
  const { mode, modeWhy, props } = picture;
  if (modeWhy !== null) return modeWhy;
  if (mode !== 'closed') return words.mode.sentences[mode];
  const all = Object.values(props);
  const atRest = all.every((prop) => isLive(picture, prop) && prop.move === null);
  return atRest ? words.mode.atRest : words.mode.sentences.closed;
}

/** Of what moves, whom nobody hears: a sentence that promises nothing of them, or null where all are heard. */
export function unheardText(words: Words, picture: Picture): string | null {
  const props = Object.values(picture.props);
  const movers = props.filter((prop) => prop.moves.length > 0);
  if (props.length > 0 && !props.some((prop) => isLive(picture, prop))) return words.mode.noneHeard;
  const silent = movers.filter((prop) => !isLive(picture, prop));
  return silent.length > 0 ? words.mode.notHeard(silent.map((prop) => prop.title)) : null;
}
