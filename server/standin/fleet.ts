import { randomInt } from 'node:crypto';
import type { Yard } from '../yard/types.ts';
import type { Board } from './board.ts';
import { type Crew, type CrewOptions, crewOf } from './crew.ts';
import { mqttWire } from './mqtt-wire.ts';
import type { Truth } from './physics.ts';
import { Posts, type Wire } from './posts.ts';
import type { Out } from './topics.ts';

export interface FleetOptions {
  readonly yard: Yard;
  /** `mqtt://host:port`, with user and password in it where the broker wants them. */
  readonly url: string;
  /** Of the props' quirks. Session words are always chance. By default chance too. */
  readonly seed?: number;
  /** Only these controllers; by default all. */
  readonly only?: readonly string[];
  /** What a person should know: the bus away, the bus back. */
  readonly log: (line: string) => void;
}

export interface LiveFleet {
  /** A line of the control language (`help` tells them); answers one line. */
  say(line: string): string;
  /** How many of the boards are on the bus now. */
  readonly linked: number;
  /** Breaks every connection, as a power cut would, and stops the loop. */
  close(): Promise<void>;
}

/** ms between two looks at the clock while nothing is due. */
const IDLE_MS = 1000;

/**
 * Stand-ins on a real bus: a connection for each board and one timer for all. Returns at once and keeps trying where
 * the bus is away, which it says once. Throws where `only` names a controller that the yard does not have.
 */
export function startFleet(options: FleetOptions): LiveFleet {
  const { yard, url, log } = options;
  const seed = options.seed ?? randomInt(2 ** 31);
  const now = () => Math.floor(performance.now());
  const only = options.only ? { only: options.only } : {};
  const crew = crewOf({ yard, seed, wordSeed: randomInt(2 ** 31), atMs: now(), ...only });
  const linked = new Set<string>();
  let saidAway = false;
  let timer: NodeJS.Timeout | undefined;
  let armedFor = Infinity;
  let closed = false;

  const wires = new Map<string, ReturnType<typeof mqttWire>>();
  const posts = new Posts(crew, seed, now(), (board) => {
    const { controller } = board;
    const wire = mqttWire(url, board, {
      up: () => {
        linked.add(controller);
        posts.up(controller, now());
        if (linked.size === crew.boards.size) {
          log(
            `${linked.size === 1 ? '1 board is' : `${linked.size} boards are`} on the bus at ${bare(url)}.`,
          );
          saidAway = false;
        }
        arm();
      },
      down: (why) => {
        linked.delete(controller);
        posts.down(controller, now());
        if (!closed && !saidAway && posts.stateOf(controller) === 'down') {
          saidAway = true;
          const who = linked.size === 0 ? 'No bus' : `${controller} has lost the bus`;
          log(`${who} at ${bare(url)} (${why}). Trying on until it is there.`);
        }
        arm();
      },
      heard: (topic, payload, retained) => {
        posts.heard(controller, now(), topic, payload, retained);
        arm();
      },
    });
    wires.set(controller, wire);
    return wire;
  });

  function arm(): void {
    if (closed) return;
    const due = posts.nextDue() ?? Infinity;
    if (timer && armedFor <= due) return;
    clearTimeout(timer);
    const nowMs = now();
    armedFor = Math.min(Math.max(due, nowMs), nowMs + IDLE_MS);
    timer = setTimeout(turn, armedFor - nowMs);
  }

  function turn(): void {
    timer = undefined;
    posts.advanceTo(now());
    arm();
  }

  arm();
  return {
    say: (line) => {
      const answer = posts.say(now(), line);
      arm();
      return answer;
    },
    get linked() {
      return linked.size;
    },
    close: async () => {
      closed = true;
      clearTimeout(timer);
      posts.close(now());
      await Promise.all([...wires.values()].map((wire) => wire.gone()));
    },
  };
}

/** Where the yard's bus is to be reached from this machine. */
export function busOf(yard: Yard): string {
  if (yard.bus.url !== null) return yard.bus.url;
  const { host, port } = yard.bus.listen ?? { host: '127.0.0.1', port: 1883 };
  return `mqtt://${host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host}:${port}`;
}

/** The address without what is secret in it. */
function bare(url: string): string {
  return url.replace(/\/\/[^@/]*@/, '//');
}

export interface VirtualFleetOptions extends CrewOptions {
  /** What a board or its will says, as the broker would give it out to the desk. */
  readonly onMessage: (
    topic: string,
    payload: Out['payload'],
    retain: boolean,
    qos: Out['qos'],
    atMs: number,
  ) => void;
}

/** Stand-ins in virtual time, for rehearsals: no sockets, no clock. Step it by `nextDue`. */
export interface VirtualFleet {
  /** Something is published: every board that subscribes hears it live; `retain` keeps it for those that connect later. */
  receive(atMs: number, topic: string, payload: unknown, retain: boolean): void;
  nextDue(): number | null;
  /** Runs what is due by then. Messages come out by `onMessage` while it runs. */
  advanceTo(atMs: number): void;
  /** A line of the control language; answers one line. */
  say(atMs: number, line: string): string;
  /** What is so with a prop, whatever its sensors say. */
  truth(atMs: number, prop: string): Truth;
  readonly crew: Crew;
}

/** Every board dials at `atMs` (0 unless told), at the first `advanceTo`. A broken connection's will is given out at once. */
export function virtualFleet(options: VirtualFleetOptions): VirtualFleet {
  const retained = new Map<string, unknown>();
  const tell = (out: Out, atMs: number) => {
    if (out.retain) retained.set(out.topic, out.payload);
    options.onMessage(out.topic, out.payload, out.retain, out.qos, atMs);
  };
  const wireOf = (board: Board): Wire => {
    let will: Out | null = null;
    return {
      dial(given, atMs) {
        will = given;
        for (const { topic } of board.subscriptions) {
          if (retained.has(topic)) posts.heard(board.controller, atMs, topic, retained.get(topic), true);
        }
        posts.up(board.controller, atMs);
      },
      send: tell,
      drop(atMs) {
        const last = will;
        will = null;
        if (last) tell(last, atMs);
      },
    };
  };
  const posts = new Posts(crewOf(options), options.seed, options.atMs ?? 0, wireOf);
  return {
    crew: posts.crew,
    receive(atMs, topic, payload, retain) {
      posts.advanceTo(atMs);
      if (retain) retained.set(topic, payload);
      posts.heardByAll(atMs, topic, payload, false);
    },
    nextDue: () => posts.nextDue(),
    advanceTo: (atMs) => posts.advanceTo(atMs),
    say: (atMs, line) => posts.say(atMs, line),
    truth: (atMs, prop) => posts.truth(atMs, prop),
  };
}
