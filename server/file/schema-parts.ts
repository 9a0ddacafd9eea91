import { z } from 'zod';
import { BOUNDS, quantity, WORDS } from './leaf.ts';
import { gauge, key } from './leaves-names.ts';

/** Tables and lists of the schema, with the words that the error texts use for them. */

export function table<T extends z.core.$ZodLooseShape>(
  noun: string,
  example: string,
  description: string,
  shape: T,
) {
  return z.strictObject(shape).describe(description).register(WORDS, { noun, example });
}

export function named<T extends z.ZodType>(noun: string, example: string, description: string, of: T) {
  return z.record(key, of).describe(description).register(WORDS, { noun, example });
}

export function list<T extends z.ZodType>(noun: string, example: string, description: string, of: T) {
  return z.array(of).describe(description).register(WORDS, { noun, example });
}

export const pause = (example: string, description: string) =>
  quantity('time', BOUNDS.pause, example, description);
export const span = (example: string, description: string) =>
  quantity('time', BOUNDS.span, example, description);
export const amps = (example: string, description: string) =>
  quantity('current', BOUNDS.current, example, description);

export const cable = table(
  'a cable',
  '{length: 20 m, gauge: 14 AWG}',
  'One way, for the voltage-drop review.',
  {
    length: quantity('length', BOUNDS.cable, '20 m', 'From the supply to the load, one way.'),
    gauge,
  },
);
