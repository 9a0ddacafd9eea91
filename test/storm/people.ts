import { handNight } from '../../server/calendar/hand.ts';
import type { Answer } from '../../server/desk-door.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { inHours } from '../../server/show/admission.ts';
import type { PersonFact } from '../../server/show/events.ts';
import type { Reason } from '../../server/show/reasons.ts';
import type { Show } from '../../server/show/show.ts';
import type { Chance } from './chance.ts';
import type { Machine } from './machine.ts';
import { nightAt } from './nights.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';
import type { World } from './world.ts';

type Command = Exclude<PersonFact, { kind: 'stopPressed' }>;

const SEEN_KEPT = 400;
const HOUR_MS = 3_600_000;
const STALE_MS = 2000;

/**
 * Those who run the yard: they see the picture a moment late, press twice, press the wrong thing, and in the end put
 * things right. What they send goes through the same turn as the page's commands.
 */
export class Crew {
  readonly #world: World;
  readonly #chance: Chance;
  readonly #r: Referee;
  /** The computer whose page they look at. */
  machine: Machine;
  #seen: { at: number; n: number }[] = [];
  /** The desk's clock as the page last had it, and when. */
  #clock = { desk: 0, at: 0 };
  #lookWanted = false;
  /** How long until someone looks, ms on the average; they hurry once the storm is over. */
  patienceMs = 25_000;
  /** Reasons of the last refusals, for the end. */
  readonly refused = new Map<string, readonly Reason[]>();
  /** Every code that anything was refused with since people began to hurry. */
  readonly everRefused = new Map<string, Set<string>>();
  resting = false;
  sent = 0;

  constructor(world: World, chance: Chance, referee: Referee, machine: Machine) {
    this.#world = world;
    this.#chance = chance;
    this.#r = referee;
    this.machine = machine;
  }

  get process(): Process | null {
    const p = this.machine.process;
    return p?.alive ? p : null;
  }

  turned(p: Process, show: Show): void {
    if (p.machine !== this.machine) return;
    this.#seen.push({ at: this.#world.now, n: show.n });
    this.#clock = { desk: show.at + show.offsetMs, at: this.#world.now };
    if (this.#seen.length > 2 * SEEN_KEPT) this.#seen = this.#seen.slice(-SEEN_KEPT);
    if (this.#lookWanted || this.resting || !this.#troubled(show)) return;
    this.lookSoon();
  }

  lookSoon(): void {
    if (this.#lookWanted) return;
    this.#lookWanted = true;
    this.#world.in(500 + this.#chance.about(this.patienceMs), () => {
      this.#lookWanted = false;
      if (!this.resting) this.putRight();
    });
  }

  #troubled(show: Show): boolean {
    if (show.stop.latched || show.mode === 'held') return true;
    if (show.mode === 'closed' && this.tonight(show) !== null) return true;
    return Object.values(show.props).some((p) => p.lockout !== null);
  }

  /** The last event that the page can have shown by `ageMs` ago. */
  seen(ageMs: number): number {
    const then = this.#world.now - ageMs;
    return this.#seen.findLast((s) => s.at <= then)?.n ?? 0;
  }

  /** Sends a command, which takes its time on the way. */
  send(fact: Command, then: (a: Answer) => void = () => {}, wayMs = this.#chance.between(3, 150)): void {
    this.sent += 1;
    const issued = this.#clock.desk + this.#world.now - this.#clock.at;
    this.#world.in(wayMs, () => {
      const p = this.process;
      if (p?.driving) p.enter(() => this.#arrived(p, fact, issued, then));
    });
  }

  /** As the api does: what was pressed too long ago, by the desk's clock, goes no further. */
  #arrived(p: Process, fact: Command, issued: number, then: (a: Answer) => void): void {
    const now = p.desk.at + p.desk.show.offsetMs;
    if (fact.kind !== 'benchLifted' && Math.abs(now - issued) > STALE_MS) {
      this.#world.tell('stale', fact.kind);
      return;
    }
    this.ask(p, fact, then);
  }

  /** A command that has come as far as the desk. */
  ask(p: Process, fact: Command, then: (a: Answer) => void): void {
    this.#world.tell('asked', fact.kind, 'prop' in fact ? fact.prop : '');
    const release = fact.kind === 'releaseAsked' ? this.#r.records.releaseAsked(p, fact.prop) : null;
    const opening = fact.kind === 'openAsked' ? this.#r.runs.openAsked(p) : null;
    p.ask(fact, (answer) => {
      release?.();
      opening?.();
      this.#answered(p, fact, answer);
      then(answer);
    });
  }

  #answered(p: Process, fact: Command, answer: Answer): void {
    const about = `${fact.kind}${'prop' in fact ? ` ${fact.prop}` : 'scene' in fact ? ` ${fact.scene}` : ''}`;
    if (answer.ok) {
      this.#r.records.answeredYes(p, fact);
      this.refused.delete(about);
      if (fact.kind === 'openAsked') this.#r.starts.opened(p);
      if (fact.kind === 'openAsked' && fact.night && fact.planned) p.draw(fact.night);
    } else {
      this.refused.set(about, answer.refused);
      const ever = this.everRefused.get(about) ?? new Set();
      for (const r of answer.refused) ever.add(r.code);
      this.everRefused.set(about, ever);
      this.#world.tell('refused', about, answer.refused.map((r) => r.code).join(' '));
    }
  }

  /** Somebody stands by and looks again and again. */
  hurry(everyMs: number): void {
    this.patienceMs = everyMs;
    this.refused.clear();
    this.everRefused.clear();
    const look = (): void => {
      this.putRight();
      this.#world.in(everyMs, look);
    };
    look();
  }

  /** Everything that a person would do who has looked at the page. */
  putRight(): void {
    const p = this.process;
    if (!p?.driving) return this.lookSoon();
    const { show } = p.desk;
    const by = 'keeper';
    const seen = this.seen(this.#chance.between(20, 400));
    if (show.stop.latched) this.send({ kind: 'clearAsked', by, seen });
    for (const [prop, state] of Object.entries(show.props))
      if (state.lockout) this.send({ kind: 'releaseAsked', by, prop, seen });
    if (show.mode === 'held' || (show.mode === 'closed' && this.tonight(show) !== null))
      this.#world.in(this.#chance.between(200, 3000), () => this.open());
    if (this.#troubled(show)) this.lookSoon();
  }

  open(planned = true): void {
    const p = this.process;
    if (!p) return;
    const { show } = p.desk;
    const wall = p.clock.wall();
    // as the door does: within tonight's hours the night of the file, else one made by hand
    const tonight = this.tonight(show);
    const night = inHours(show, show.at) ? null : (tonight ?? handNight(p.machine.yard, wall, 2 * HOUR_MS));
    this.send({ kind: 'openAsked', by: 'keeper', planned, night });
  }

  /** The night whose hours hold now, by the desk or by the calendar. */
  tonight(show: Show): NightTimes | null {
    if (inHours(show, show.at)) return show.night;
    return nightAt(show.yard, show.at + show.offsetMs);
  }

  stop(by = 'page'): void {
    const p = this.process;
    if (!p) return;
    // a loop that stands still takes it as soon as it goes on
    p.enter(() => {
      this.#world.tell('STOP', by);
      this.#r.presses.pressed(p, () => p.desk.stop(by));
    });
  }
}
