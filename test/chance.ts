import fc from 'fast-check';

/*
 * Property tests draw the same cases at each run, so that a change is judged by what it changes. CHANCE=<number> draws
 * others, and CHANCE=new ones that nobody has seen.
 */
const chance = process.env.CHANCE;
if (chance !== 'new') fc.configureGlobal({ ...fc.readConfigureGlobal(), seed: Number(chance ?? 20261031) });
