import type { Picture } from '../server/picture.ts';
import { hourOf } from './time.ts';

export type Level = 'day' | 'dusk' | 'red';
export type LightChoice = Level | 'auto';
export const LIGHT_CHOICES: readonly LightChoice[] = ['auto', 'day', 'dusk', 'red'];

const KEPT_AS = 'light';

/** The choice made on this phone; by the sun where none was made or nothing can be kept. */
export function keptLight(): LightChoice {
  try {
    const kept = localStorage.getItem(KEPT_AS);
    return LIGHT_CHOICES.find((choice) => choice === kept) ?? 'auto';
  } catch {
    return 'auto';
  }
}

export function keepLight(choice: LightChoice): void {
  try {
    localStorage.setItem(KEPT_AS, choice);
  } catch {
    // A private window keeps nothing; the choice then holds until the page is left.
  }
}

/** Dusk from sunset to sunrise, by the yard's sun where the picture tells it, else from 18 to 7 h in the yard. */
export function levelOf(choice: LightChoice, picture: Picture | null, nowMs: number): Level {
  if (choice !== 'auto') return choice;
  if (!picture) return 'dusk';
  const sun = picture.yard.sun;
  if (sun && sun.set !== null && sun.rise !== null) {
    return nowMs >= sun.set || nowMs < sun.rise ? 'dusk' : 'day';
  }
  const hour = hourOf(nowMs, picture.yard.timezone);
  return hour >= 18 || hour < 7 ? 'dusk' : 'day';
}
