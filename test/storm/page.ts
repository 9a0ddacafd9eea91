import type { FeedChange } from '../../server/api/feed-words.ts';
import type { Picture } from '../../server/picture.ts';
import { Store } from '../../web/store.ts';
import type { Chance } from './chance.ts';
import type { Machine } from './machine.ts';
import type { Referee } from './referee.ts';
import type { World } from './world.ts';

const BEAT_MS = 1000;
const LOOK_MS = 100;
const LIVE_MS = 2500;
const STEP_MS = 100;
/** What lies between two looks, and the rounding of the desk's clock. */
const GRACE_MS = LOOK_MS + 60;

/**
 * A phone with the page open, on a bad radio: the page's real store, fed as the daemon's feed feeds it, late, in bursts,
 * with gaps, or not at all.
 */
export class Page {
  readonly #world: World;
  readonly #chance: Chance;
  readonly #r: Referee;
  readonly #machine: Machine;
  readonly #store: Store;
  /** When what the page last took was true, in the world's time. */
  #trueAt = Number.NEGATIVE_INFINITY;
  /** The shortest way since it joined: what always takes so long can't be told from a clock that is off. */
  #shortest = Number.POSITIVE_INFINITY;
  /** The desk's clock over the world's, as of the last word. */
  #skew = 0;
  #busyUntil = 0;
  #seq = 0;
  /** When each change was said. */
  readonly #saidAt = new Map<number, number>();
  #over = false;

  constructor(world: World, chance: Chance, referee: Referee, machine: Machine) {
    this.#world = world;
    this.#chance = chance;
    this.#r = referee;
    this.#machine = machine;
    const monoFrom = chance.between(0, 1e6);
    this.#store = new Store(() => world.now + monoFrom);
    this.#store.onWant = () => this.#fetch();
    this.#join();
    this.#beat();
    this.#look();
  }

  close(): void {
    this.#over = true;
  }

  get #desk() {
    const p = this.#machine.process;
    return p?.alive && p.driving && !this.#machine.frozen ? p.desk : null;
  }

  #whole(): Picture | null {
    const desk = this.#desk;
    if (!desk) return null;
    return { seq: this.#seq, at: desk.at + desk.show.offsetMs } as unknown as Picture;
  }

  /** Everything to the page goes one after the other, as on one connection. */
  #send(run: (sentAt: number) => void): void {
    if (this.#chance.hit(0.05)) this.#busyUntil = this.#world.now + this.#chance.between(500, 9000);
    const sentAt = this.#world.now;
    const skew = this.#skewNow();
    const at = Math.max(this.#busyUntil, sentAt + this.#chance.between(5, 150));
    this.#busyUntil = at;
    this.#world.at(at, () => {
      if (this.#over) return;
      this.#learn(sentAt, skew);
      run(sentAt);
    });
  }

  #skewNow(): number {
    return (this.#whole()?.at ?? 0) - this.#world.now;
  }

  /** How long the way is at the least; where the desk's clock was set that must be learnt anew, as on joining. */
  #learn(sentAt: number, skew: number): void {
    const way = this.#world.now - sentAt;
    const set = Math.abs(skew - this.#skew) > STEP_MS;
    this.#skew = skew;
    this.#shortest = set ? way : Math.min(this.#shortest, way);
  }

  /** The store took word that was true then; what it passed over as old changes nothing. */
  #took(sentAt: number): void {
    this.#trueAt = Math.max(this.#trueAt, sentAt);
  }

  #join(): void {
    const picture = this.#whole();
    if (!picture) return void this.#world.in(2000, () => !this.#over && this.#join());
    this.#send((sentAt) => {
      this.#shortest = this.#world.now - sentAt;
      this.#trueAt = sentAt;
      this.#store.take(picture, 'joined');
    });
  }

  /** Asked anew, over HTTP: not in order with the feed. */
  #fetch(): void {
    const picture = this.#whole();
    if (!picture || this.#chance.hit(0.2)) return;
    const sentAt = this.#world.now;
    const skew = this.#skewNow();
    this.#world.in(this.#chance.between(10, 3000), () => {
      if (this.#over) return;
      this.#learn(sentAt, skew);
      this.#took(sentAt);
      this.#store.take(picture, 'asked');
      // changes that came before it and follow on it are laid over it
      const shown = this.#store.picture?.seq ?? 0;
      if (shown > picture.seq) this.#took(this.#saidAt.get(shown) ?? sentAt);
    });
  }

  #beat(): void {
    if (this.#over) return;
    this.#world.in(BEAT_MS, () => this.#beat());
    const desk = this.#desk;
    if (!desk || this.#chance.hit(0.02)) return;
    const at = desk.at + desk.show.offsetMs;
    const from = this.#seq;
    if (this.#chance.hit(0.5)) this.#seq += 1;
    const seq = this.#seq;
    // a change now and then is lost: the page must find out by itself
    if (seq > from) this.#saidAt.set(seq, this.#world.now);
    if (seq > from && !this.#chance.hit(0.1))
      this.#send((sentAt) => {
        const have = this.#store.picture?.seq ?? -1;
        this.#store.change({ seq, from, at, set: {} } as FeedChange);
        if ((this.#store.picture?.seq ?? -1) > have) this.#took(sentAt);
      });
    this.#send((sentAt) => {
      this.#store.beat({ at, seq });
      if ((this.#store.picture?.seq ?? -1) >= seq) this.#took(sentAt);
    });
  }

  /** 23: what is shown as live is at most 2.5 s old. */
  #look(): void {
    if (this.#over) return;
    this.#world.in(LOOK_MS, () => this.#look());
    if (this.#chance.hit(0.002)) this.#store.doubt();
    this.#r.ask(23);
    if (this.#store.link() !== 'live') return;
    const age = this.#world.now - this.#trueAt - Math.min(this.#shortest, 10_000);
    if (age > LIVE_MS + GRACE_MS)
      this.#r.breach(23, `the page shows a picture as live that is ${Math.round(age)} ms old`);
  }
}
