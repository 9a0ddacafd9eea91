import type { Call, CallParts } from '../../server/api/call.ts';
import { commandCalls } from '../../server/api/calls-command.ts';
import { Problem } from '../../server/api/problem.ts';
import { handNight } from '../../server/calendar/hand.ts';
import type { DeskDoor } from '../../server/desk-door.ts';
import type { PersonFact } from '../../server/show/events.ts';
import type { Chance } from './chance.ts';
import type { Crew } from './people.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

type Command = Exclude<PersonFact, { kind: 'stopPressed' }>;

const STALE_MS = 2000;
const HOUR_MS = 3_600_000;
const NAMES = ['constructor', '__proto__', 'toString', '', '../ferry', 'no-such', 'a'.repeat(4000)] as const;
const VALUES: readonly unknown[] = [
  null,
  -1,
  1e308,
  2 ** 53,
  0.5,
  '',
  'constructor',
  '__proto__',
  '\u0000\u0007',
  [],
  [[[]]],
  {},
  true,
  false,
  'x'.repeat(5000),
  '9999999 h',
];

/**
 * A page that somebody else wrote, open in the browser of a keeper who is signed in: the daemon's real calls and their
 * real schemas, any of them, with anything in it. What is malformed goes no further; what parses is a command like
 * any other.
 */
export class HostilePage {
  readonly #crew: Crew;
  readonly #chance: Chance;
  readonly #r: Referee;

  constructor(crew: Crew, chance: Chance, referee: Referee) {
    this.#crew = crew;
    this.#chance = chance;
    this.#r = referee;
  }

  /** One request, as the routes take it: what is named, then the body, then how old the press is, then the doing. */
  request(p: Process): void {
    const made = this.#chance.pick(commandCalls({ door: this.#door(p) } as CallParts));
    this.#r.ask(21);
    const named = this.#named(made, p);
    const parsed = made.body!.safeParse(JSON.parse(JSON.stringify(this.#body(p))));
    if (named === null || !parsed.success || this.#stale(p, parsed.data)) return;
    const person = { name: 'stranger', role: 'keeper' } as const;
    const ask = { body: parsed.data, query: undefined, named, person, token: null, address: '' };
    const done = Promise.resolve(made.run({ ...ask, picture: () => ({}) as never }));
    done.catch((error: unknown) => {
      if (!(error instanceof Problem)) this.#r.breach(21, `a request threw: ${String(error)}`);
    });
  }

  #named({ path }: Call, p: Process): string | null {
    const part = /\{(\w+)\}/.exec(path)?.[1];
    if (part === undefined) return '';
    const { props, scenes } = p.desk.show;
    const known: object = part === 'prop' ? props : scenes;
    const named = this.#chance.hit(0.3) ? this.#chance.pick(NAMES) : this.#chance.pick(Object.keys(known));
    return Object.hasOwn(known, named) ? named : null;
  }

  #body(p: Process): unknown {
    const moves = [...p.machine.yard.props.values()].flatMap((prop) => [...prop.moves.keys()]);
    const body: Record<string, unknown> = {
      issued: p.desk.at + p.desk.show.offsetMs,
      seq: this.#crew.seen(50),
    };
    const chance = this.#chance;
    if (chance.hit(0.3)) Object.assign(body, { move: chance.pick(moves), press: chance.word() });
    if (chance.hit(0.15)) body.why = 'because';
    if (chance.hit(0.1)) body.for = '2 h';
    if (chance.hit(0.2)) body[chance.pick(['up', 'plan', 'n', '__proto__'])] = chance.pick(VALUES);
    for (const key of Object.keys(body)) if (chance.hit(0.15)) body[key] = chance.pick(VALUES);
    return chance.hit(0.05) ? chance.pick(VALUES) : body;
  }

  #stale(p: Process, body: unknown): boolean {
    const { issued, seq, up } = body as { issued?: number; seq?: number; up?: boolean };
    if (up === true) return false;
    if (issued === undefined || Math.abs(p.desk.at + p.desk.show.offsetMs - issued) > STALE_MS) return true;
    return seq === undefined || seq > p.desk.show.n;
  }

  #door(p: Process): DeskDoor {
    const now = (): number => p.desk.at + p.desk.show.offsetMs;
    const door: Pick<DeskDoor, 'ask' | 'say' | 'nightNow' | 'handNight'> = {
      ask: (fact) => new Promise((answer) => this.#crew.ask(p, fact as Command, answer)),
      say: (reason) => reason.code,
      nightNow: () => this.#crew.tonight(p.desk.show),
      handNight: (forMs) => handNight(p.machine.yard, now(), Math.min(forMs, 2 * HOUR_MS)),
    };
    return door as DeskDoor;
  }
}
