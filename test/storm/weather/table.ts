import { BUS } from './bus.ts';
import { HOST, TIME } from './host.ts';
import type { Weather } from './kinds.ts';
import { PEOPLE } from './people.ts';
import { PLANTED } from './planted.ts';
import { PROPS } from './props.ts';

/** Every kind of weather there is. */
export const WEATHER: readonly Weather[] = [...BUS, ...PLANTED, ...PROPS, ...HOST, ...TIME, ...PEOPLE];
