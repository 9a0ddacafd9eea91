import type { z } from 'zod';
import type { Answer, DeskDoor } from '../desk-door.ts';
import type { Picture } from '../picture.ts';
import type { People, Person } from './people.ts';
import { Problem } from './problem.ts';

/** Who may: anyone on the network, a helper (a keeper is one too), a keeper. */
export type Who = 'any' | 'helper' | 'keeper';

/** What the demonstration's stand-ins let a visitor do. */
export interface DemoDoor {
  /** The faults that a prop's stand-in can show; null where there is no such prop. */
  faultsOf(prop: string): readonly string[] | null;
  /** Puts a fault on or takes it off. */
  setFault(prop: string, fault: string, on: boolean): void;
  /** The faults that were put on and not yet taken off. */
  faults(): readonly { readonly prop: string; readonly fault: string }[];
  /** Takes every fault off. */
  mendAll(): void;
  /** Presses a mat or a button for a moment; false where there is none of that name. */
  press(prop: string, sensor: string): boolean;
}

/** What the calls are answered from. */
export interface CallParts {
  readonly door: DeskDoor;
  readonly people: People;
  readonly demonstration: DemoDoor | null;
}

/** One request, as far as it has been judged: its caller is allowed, its body and query are parsed. */
export interface Ask<Body = unknown, Query = unknown> {
  readonly body: Body;
  readonly query: Query;
  /** The part of the path in braces, decoded. An `{id}` names something in the picture; a `{name}` or `{date}` is as sent. */
  readonly named: string;
  /** Null only where anyone may ask and nobody is signed in. */
  readonly person: Person | null;
  /** The signed-in person's token. */
  readonly token: string | null;
  readonly picture: () => Picture;
  readonly address: string;
}

/** What goes back. `json` undefined: no body, unless `text` has one. */
export interface Reply {
  readonly status: number;
  readonly json?: unknown;
  readonly text?: { readonly type: string; readonly body: string };
  /** Something to keep as a file, under this name. */
  readonly bytes?: { readonly type: string; readonly body: Buffer; readonly name: string };
  /** A session's cookie: its token and when it runs out, or null to take it away. */
  readonly session?: { readonly token: string; readonly until: number } | null;
}

/** How an answer looks in the OpenAPI document. */
export interface Told {
  readonly what: string;
  readonly schema?: z.ZodType;
  readonly type?: string;
}

/**
 * One call: its place, who may, what it takes, what it says, and the doing. The routes, the refusals of other
 * methods and the OpenAPI document are all made from this, so none of them can forget a call.
 */
export interface Call<Body = unknown, Query = unknown> {
  readonly method: 'get' | 'post' | 'put' | 'delete';
  /** With at most one part in braces: `{prop}` and `{scene}` are held against the picture, others are as sent. */
  readonly path: string;
  readonly who: Who;
  readonly does: string;
  readonly body?: z.ZodType<Body>;
  /** Where the body may be larger than others. */
  readonly bodyBytes?: number;
  /** Where the body is no JSON but bytes of this type: `run` gets them as a `Buffer`. */
  readonly raw?: { readonly type: string; readonly bytes: number };
  readonly query?: z.ZodType<Query>;
  /** Whether `issued` and `seq` of the body are judged before anything is done. */
  readonly judged?: true;
  readonly says: Readonly<Record<number, Told>>;
  run(ask: Ask<Body, Query>): Reply | Promise<Reply>;
}

/** Forgets the types of body and query, which the schemas beside them vouch for. */
export function call<Body, Query>(made: Call<Body, Query>): Call {
  return made as unknown as Call;
}

export const json = (status: number, body: unknown): Reply => ({ status, json: body });

/** The show's own refusal as a problem, with all reasons in the order to deal with them. */
export function unlessRefused(door: Pick<DeskDoor, 'say'>, answer: Answer, status: 200 | 202 = 200): Reply {
  if (answer.ok) return json(status, { ok: true });
  throw new Problem(
    409,
    answer.refused.map((reason) => ({ code: reason.code, sentence: door.say(reason) })),
  );
}
