import type { Picture } from '../server/picture.ts';
import type { LinkState } from './store.ts';
import { controllerTitles } from './view.ts';
import type { Words } from './words.ts';

/**
 * What became of the last press of STOP ALL on this page. `sending`: on its way; `taken`: handed to the bus;
 * `no-bus`: latched, but not handed on; `failed`: no answer from the yard computer.
 */
export type PressState = 'none' | 'sending' | 'taken' | 'no-bus' | 'failed';

export interface StopSay {
  readonly state: 'ready' | 'sending' | 'stopped' | 'lost';
  readonly text: string;
}

/** So long the desk repeats a stop every 100 ms; who has not answered by then is named. */
const CALLING_MS = 2000;

/** The line on the stop bar. Without a link it promises nothing; with one it tells who has answered. */
export function stopSay(
  words: Words,
  picture: Picture | null,
  link: LinkState,
  press: PressState,
  nowMs: number,
): StopSay {
  if (link === 'lost') return { state: 'lost', text: lostText(words, press) };
  if (press === 'failed') return { state: 'lost', text: words.stop.failed };
  const stop = picture?.stop;
  if (!picture || !stop?.latched) {
    const unheard = picture !== null && !picture.bus.connected;
    if (press === 'none') return { state: 'ready', text: unheard ? words.stop.unheard : words.stop.hint };
    if (press === 'no-bus') return { state: 'sending', text: words.stop.noBus };
    return { state: 'sending', text: words.stop.sending };
  }
  if (press === 'no-bus' || !picture.bus.connected) return { state: 'stopped', text: words.stop.noBus };
  const all = stop.answered.length + stop.silent.length;
  if (stop.silent.length === 0) return { state: 'stopped', text: words.stop.stoppedAll(all) };
  const calling = stop.at !== null && nowMs - stop.at < CALLING_MS;
  if (calling) return { state: 'stopped', text: words.stop.rolling(stop.answered.length, all) };
  const silent = stop.silent.map((id) => words.listed(controllerTitles(picture, id)));
  return { state: 'stopped', text: words.stop.stoppedSome(stop.answered.length, all, silent) };
}

function lostText(words: Words, press: PressState): string {
  if (press === 'sending') return words.stop.trying;
  if (press === 'failed') return words.stop.failed;
  if (press === 'taken') return words.stop.unseen;
  if (press === 'no-bus') return words.stop.noBus;
  return words.stop.lost;
}
