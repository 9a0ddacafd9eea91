import { ipKeyGenerator } from 'express-rate-limit';
import { meSchema, peopleSchema } from './answers.ts';
import type { Attempts } from './attempts.ts';
import { type Ask, type Call, type CallParts, call, json, type Reply } from './call.ts';
import type { People, PeopleRefusal } from './people.ts';
import { PinBusy } from './pin-hash.ts';
import { notSignedIn, problem } from './problem.ts';
import { newPersonSchema, newPinSchema, signInSchema } from './schemas.ts';

/** What sign-in needs besides the people. */
export interface SignInParts {
  readonly attempts: Attempts;
  /** Resolves after so many ms. */
  readonly wait: (ms: number) => Promise<void>;
  readonly counted: (result: 'in' | 'wrong' | 'barred' | 'busy') => void;
}

const PEOPLE = { 200: { what: 'Everyone on the list.', schema: peopleSchema } };

/** Signing in and out, and who may. None of it takes `issued` or `seq`: it moves nothing. */
export function peopleCalls({ people }: CallParts, parts: SignInParts): Call[] {
  return [...sessionCalls(people, parts), ...listCalls(people)];
}

function sessionCalls(people: People, parts: SignInParts): Call[] {
  return [
    call({
      method: 'post',
      path: '/api/session',
      who: 'any',
      does: 'Signs in with a PIN; the answer sets a cookie. Five wrong PINs bar the address for a minute.',
      body: signInSchema,
      says: {
        200: { what: 'Signed in.', schema: meSchema },
        401: { what: 'Wrong PIN.' },
        429: { what: 'Barred for a minute, or others are signing in.' },
      },
      run: (ask) => signIn(people, parts, ask),
    }),
    call({
      method: 'get',
      path: '/api/session',
      who: 'any',
      does: 'Who is signed in here.',
      says: { 200: { what: 'The person.', schema: meSchema }, 204: { what: 'Nobody.' } },
      run({ token }) {
        const found = people.whoIs(token ?? undefined);
        return found ? json(200, { ...found.person, until: found.until }) : { status: 204 };
      },
    }),
    call({
      method: 'delete',
      path: '/api/session',
      who: 'any',
      does: 'Signs out.',
      says: { 204: { what: 'Signed out, or nobody was signed in.' } },
      async run({ token }) {
        await people.signOut(token ?? undefined);
        return { status: 204, session: null };
      },
    }),
  ];
}

async function signIn(people: People, parts: SignInParts, ask: Ask<{ pin: string }>): Promise<Reply> {
  // An IPv6 phone has a whole subnet of addresses: it is taken as one.
  const address = ipKeyGenerator(ask.address);
  const turn = parts.attempts.begin(address);
  if (!turn.ok) {
    parts.counted(turn.why);
    throw tooMany(turn.why === 'barred' ? 'barred' : 'sign-in-busy', turn.againInMs);
  }
  let right: boolean | null = null;
  try {
    // The waiting comes before the looking, so that hanging up does not save it.
    if (turn.waitMs > 0) await parts.wait(turn.waitMs);
    const session = await people.signIn(ask.body.pin);
    right = session !== null;
    if (session) {
      parts.counted('in');
      const { token, until, person } = session;
      return { status: 200, json: { ...person, until }, session: { token, until } };
    }
  } catch (error) {
    if (!(error instanceof PinBusy)) throw error;
    parts.counted('busy');
    throw tooMany('sign-in-busy', 1_000);
  } finally {
    parts.attempts.end(address, right);
  }
  parts.counted('wrong');
  throw notSignedIn(parts.attempts.barred(address) ? 'wrong-pin-barred' : 'wrong-pin');
}

function tooMany(code: 'barred' | 'sign-in-busy', againInMs: number) {
  return problem(429, code, { 'Retry-After': String(Math.ceil(againInMs / 1_000)) });
}

function listCalls(people: People): Call[] {
  const list = (status: number) => json(status, { people: people.all() });
  return [
    call({
      method: 'get',
      path: '/api/people',
      who: 'keeper',
      does: 'Everyone who may sign in.',
      says: PEOPLE,
      run: () => list(200),
    }),
    call({
      method: 'post',
      path: '/api/people',
      who: 'keeper',
      does: 'Puts someone on the list.',
      body: newPersonSchema,
      says: { 201: PEOPLE[200], 409: { what: 'Refused.' }, 429: { what: 'Others are signing in.' } },
      async run({ body: { name, role, pin } }) {
        await kept(people.add({ name, role }, pin));
        return list(201);
      },
    }),
    call({
      method: 'delete',
      path: '/api/people/{name}',
      who: 'keeper',
      does: 'Takes someone off the list and signs them out.',
      says: { ...PEOPLE, 404: { what: 'Not on the list.' }, 409: { what: 'The last keeper.' } },
      async run({ named }) {
        await kept(people.remove(named));
        return list(200);
      },
    }),
    call({
      method: 'put',
      path: '/api/people/{name}/pin',
      who: 'helper',
      does: "Changes a PIN: one's own, or a keeper anyone's. Signs the person out on other phones.",
      body: newPinSchema,
      says: {
        204: { what: 'Changed.' },
        404: { what: 'Not on the list.' },
        409: { what: 'Refused.' },
        429: { what: 'Others are signing in.' },
      },
      async run({ named, person, token, body }) {
        if (person?.role !== 'keeper' && person?.name !== named) throw problem(403, 'own-pin-only');
        await kept(people.setPin(named, body.pin, person.name === named ? token : null));
        return { status: 204 };
      },
    }),
  ];
}

async function kept(change: Promise<PeopleRefusal | null>): Promise<void> {
  let refused: PeopleRefusal | null;
  try {
    refused = await change;
  } catch (error) {
    if (error instanceof PinBusy) throw tooMany('sign-in-busy', 1_000);
    throw problem(503, 'disk-refused');
  }
  if (refused) throw problem(refused === 'no-such-person' ? 404 : 409, refused);
}
