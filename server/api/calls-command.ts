import type { DeskDoor } from '../desk-door.ts';
import { doneSchema } from './answers.ts';
import { type Ask, type Call, type CallParts, call, type Reply, unlessRefused } from './call.ts';
import { Problem, problem } from './problem.ts';
import { benchSchema, commandSchema, lockoutSchema, openSchema } from './schemas.ts';

type Asked = Parameters<DeskDoor['ask']>[0];

const DONE = { 200: { what: 'Done.', schema: doneSchema } };
const TAKEN = { 202: { what: 'Taken; the picture tells how it goes on.', schema: doneSchema } };

/** A signed-in caller's name: calls for anyone never get here. */
const by = (ask: Ask<unknown>): string => ask.person!.name;

/** What people tell the show to do, each through the turn. */
export function commandCalls({ door }: CallParts): Call[] {
  return [...yardCommands(door), ...propCommands(door)];
}

function yardCommands(door: CallParts['door']): Call[] {
  const whole = (path: string, does: string, kind: 'holdAsked' | 'closeAsked') =>
    call({
      method: 'post',
      path,
      who: 'helper',
      does,
      body: commandSchema,
      judged: true,
      says: TAKEN,
      run: async (ask) => unlessRefused(door, await door.ask({ kind, by: by(ask) }), 202),
    });
  return [
    call({
      method: 'post',
      path: '/api/stop/clear',
      who: 'keeper',
      does: 'Clears the latched stop; the mode becomes held and nothing moves. Refused with all reasons while a cause stands.',
      body: commandSchema,
      judged: true,
      says: DONE,
      run: async (ask) =>
        unlessRefused(door, await door.ask({ kind: 'clearAsked', by: by(ask), seen: ask.body.seq })),
    }),
    call({
      method: 'post',
      path: '/api/open',
      who: 'helper',
      does: 'Opens: notice, homing, then open. Outside the hours of a night it wants `for`.',
      body: openSchema,
      judged: true,
      says: TAKEN,
      async run(ask) {
        const night = handNight(door, ask.body.for);
        const fact: Asked = { kind: 'openAsked', by: by(ask), planned: ask.body.plan, night };
        return unlessRefused(door, await door.ask(fact), 202);
      },
    }),
    whole('/api/hold', 'Starts nothing new; what runs ends.', 'holdAsked'),
    whole('/api/close', 'Ends what runs, homes, rests.', 'closeAsked'),
    call({
      method: 'post',
      path: '/api/scenes/{scene}/run',
      who: 'helper',
      does: 'Runs a scene now, under every rule; refused with the reason.',
      body: commandSchema,
      judged: true,
      says: DONE,
      run: async (ask) =>
        unlessRefused(door, await door.ask({ kind: 'sceneAsked', by: by(ask), scene: ask.named })),
    }),
  ];
}

/** The night that `for` makes; null inside a night's hours, where none is wanted. */
function handNight(door: CallParts['door'], forMs: number | undefined) {
  const now = door.nightNow();
  if (now && forMs !== undefined) throw problem(409, 'for-not-wanted');
  if (!now && forMs === undefined) {
    throw new Problem(409, [{ code: 'outside-hours', sentence: door.say({ code: 'outside-hours' }) }]);
  }
  return forMs === undefined ? null : door.handNight(forMs);
}

function propCommands(door: CallParts['door']): Call[] {
  return [
    call({
      method: 'post',
      path: '/api/props/{prop}/lockout',
      who: 'helper',
      does: 'Takes a prop out of service by hand, with the reason.',
      body: lockoutSchema,
      judged: true,
      says: DONE,
      run: async (ask) =>
        unlessRefused(
          door,
          await door.ask({ kind: 'lockoutAsked', by: by(ask), prop: ask.named, why: ask.body.why }),
        ),
    }),
    call({
      method: 'post',
      path: '/api/props/{prop}/release',
      who: 'keeper',
      does: 'Releases a prop; moves nothing. Refused while its sensors still contradict.',
      body: commandSchema,
      judged: true,
      says: DONE,
      run: async (ask) =>
        unlessRefused(
          door,
          await door.ask({ kind: 'releaseAsked', by: by(ask), prop: ask.named, seen: ask.body.seq }),
        ),
    }),
    call({
      method: 'post',
      path: '/api/props/{prop}/acknowledge',
      who: 'helper',
      does: "Says that a prop's fault was seen; changes nothing else.",
      body: commandSchema,
      judged: true,
      says: DONE,
      run: async (ask) =>
        unlessRefused(door, await door.ask({ kind: 'acknowledged', by: by(ask), prop: ask.named })),
    }),
    call({
      method: 'post',
      path: '/api/props/{prop}/bench',
      who: 'keeper',
      does: 'One move for setting up, held while pressed; only closed or held. Lifting halts.',
      body: benchSchema,
      judged: true,
      says: DONE,
      run: (ask) => bench(door, ask),
    }),
  ];
}

async function bench(
  door: CallParts['door'],
  ask: Ask<{ press: string; up?: boolean | undefined; move?: string | undefined }>,
): Promise<Reply> {
  const { press, up, move } = ask.body;
  const common = { by: by(ask), prop: ask.named, press };
  const fact: Asked =
    up || move === undefined ? { kind: 'benchLifted', ...common } : { kind: 'benchPressed', ...common, move };
  return unlessRefused(door, await door.ask(fact));
}
