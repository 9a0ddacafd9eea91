import { z } from 'zod';
import { doneSchema, meSchema } from './answers.ts';
import { type Ask, type Call, type CallParts, call, type DemoDoor, json, unlessRefused } from './call.ts';
import { Problem, problem } from './problem.ts';
import { demoFaultSchema, demoPressSchema, demoRunSchema, nothingSchema } from './schemas.ts';

/** As whom a visitor of the demonstration runs and releases; the record names it so. */
const VISITOR = 'a visitor';

const demoSchema = z
  .strictObject({
    faults: z.array(z.strictObject({ prop: z.string(), fault: z.string() })),
    keeper: z.boolean().meta({ description: 'Whether this caller may sign in as the keeper without a PIN.' }),
  })
  .meta({ id: 'Demonstration' });

type Parts = Omit<CallParts, 'demonstration'> & { readonly demo: DemoDoor };

/** What only the demonstration has: its props are stand-ins, so a visitor may do to them what nobody may do in earnest. */
export function demoCalls(parts: Parts): Call[] {
  return [...standinCalls(parts), ...visitorCalls(parts)];
}

function standinCalls({ demo }: Parts): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/demo',
      who: 'any',
      does: 'The demonstration only: the faults that visitors have put on.',
      says: { 200: { what: 'The faults.', schema: demoSchema } },
      run: ({ address }) => json(200, { faults: demo.faults(), keeper: isLoopback(address) }),
    }),
    call({
      method: 'post',
      path: '/api/demo/fault',
      who: 'any',
      does: 'The demonstration only: puts a fault on a stand-in, or takes it off.',
      body: demoFaultSchema,
      says: { 200: { what: 'Done.', schema: doneSchema }, 404: { what: 'No such prop.' } },
      run({ body: { prop, fault, on } }) {
        const faults = demo.faultsOf(prop);
        if (!faults) throw problem(404, 'no-such-prop');
        if (!faults.includes(fault)) throw problem(422, 'unknown-fault');
        demo.setFault(prop, fault, on);
        return json(200, { ok: true });
      },
    }),
    call({
      method: 'post',
      path: '/api/demo/press',
      who: 'any',
      does: 'The demonstration only: a guest steps on a mat, or someone presses a button, for half a second.',
      body: demoPressSchema,
      says: { 200: { what: 'Done.', schema: doneSchema }, 404: { what: 'No such mat or button.' } },
      run({ body: { prop, sensor } }) {
        if (!demo.press(prop, sensor)) throw problem(404, 'no-such-sensor');
        return json(200, { ok: true });
      },
    }),
  ];
}

function visitorCalls({ demo, door, people }: Parts): Call[] {
  return [
    call({
      method: 'post',
      path: '/api/demo/run',
      who: 'any',
      does: 'The demonstration only: runs a scene now without a sign-in, under every rule; refused with the reason.',
      body: demoRunSchema,
      says: {
        200: { what: 'Done.', schema: doneSchema },
        404: { what: 'No such scene.' },
        409: { what: 'Refused.' },
      },
      async run({ body: { scene }, picture }) {
        if (!Object.hasOwn(picture().scenes, scene)) throw problem(404, 'no-such-scene');
        return unlessRefused(door, await door.ask({ kind: 'sceneAsked', by: VISITOR, scene }));
      },
    }),
    call({
      method: 'post',
      path: '/api/demo/keeper',
      who: 'any',
      does: 'The demonstration only, and only from this computer itself: signs in as the keeper without a PIN.',
      body: nothingSchema,
      says: { 200: { what: 'Signed in.', schema: meSchema } },
      async run({ address }) {
        if (!isLoopback(address)) throw problem(403, 'demo-elsewhere');
        const { token, until, person } = await people.beginAsKeeper();
        return { status: 200, json: { ...person, until }, session: { token, until } };
      },
    }),
    call({
      method: 'post',
      path: '/api/demo/reset',
      who: 'any',
      does: 'The demonstration only, and only from this computer itself: mends every stand-in and releases every prop. It clears no stop.',
      body: nothingSchema,
      says: {
        200: { what: 'Done.', schema: doneSchema },
        409: { what: 'Mended, but not all could be released.' },
      },
      run: (ask) => reset(demo, door, ask),
    }),
  ];
}

/** A release is asked as a person would ask it: what the core refuses stays locked out, and the visitor reads why. */
async function reset(demo: DemoDoor, door: CallParts['door'], { address, picture }: Ask) {
  if (!isLoopback(address)) throw problem(403, 'demo-elsewhere');
  demo.mendAll();
  const against: { code: string; sentence: string }[] = [];
  const { props } = picture();
  for (const [prop, { lockout }] of Object.entries(props)) {
    // One that follows another is released with it.
    if (!lockout || (lockout.first !== null && Object.hasOwn(props, lockout.first))) continue;
    const answer = await door.ask({ kind: 'releaseAsked', by: VISITOR, prop, seen: picture().seq });
    if (answer.ok) continue;
    against.push(...answer.refused.map((r) => ({ code: r.code, sentence: door.say(r) })));
  }
  if (against.length > 0) throw new Problem(409, against);
  return json(200, { ok: true });
}

/** Whether a caller sits at this computer itself, as the socket has it: no header is believed. */
export function isLoopback(address: string): boolean {
  const bare = address.replace(/^::ffff:/i, '');
  return bare === '::1' || /^127\.\d+\.\d+\.\d+$/.test(bare);
}
