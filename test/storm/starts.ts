import type { Show } from '../../server/show/show.ts';
import type { Move } from '../../server/yard/types.ts';
import type { Ledger, Told } from './ledger.ts';
import type { Message } from './message.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

/** A turn that waits for a stop to leave the process may take so long; then what should have followed has. */
const TURN_MS = 60;
const GRACE_MS = 150;
const NO_ANSWER_MS = 2000;
const LIMIT_MS = 1000;
/** How far the desk's wall clock may be off before it takes note. */
const CLOCK_MS = 600;
const FREEZE_MS = 5000;
/** A clock that was set is looked at with the next heartbeat. */
const LOOK_MS = 300;

interface Standing {
  latched: number;
  clearedAt: number;
  openedAt: number;
  /** Told after a clear while someone's opening was not answered yet: the answer says whether it was in order. */
  beforeAnswer: string[];
  /** A desk above this one, and since when it has been heard. */
  above: { desk: string; epoch: number; at: number } | null;
  connectedSince: number;
  frozenAt: number;
}

/** Every order that leaves a desk, asked against its ledger: invariants 1 to 8, 12, 14, 17, 18 and 20 of what is commanded. */
export class Starts {
  readonly #r: Referee;
  readonly #standing = new Map<string, Standing>();

  constructor(referee: Referee) {
    this.#r = referee;
  }

  started(p: Process): void {
    const was = this.#standing.get(p.machine.name);
    this.#standing.set(p.machine.name, {
      latched: 0,
      clearedAt: was?.clearedAt ?? Number.NEGATIVE_INFINITY,
      openedAt: was?.openedAt ?? Number.NEGATIVE_INFINITY,
      beforeAnswer: [],
      above: null,
      connectedSince: this.#r.world.now,
      frozenAt: 0,
    });
  }

  of(p: Process): Standing {
    return this.#standing.get(p.machine.name)!;
  }

  /** A person has opened, and the desk said yes. */
  opened(p: Process): void {
    const s = this.of(p);
    s.openedAt = this.#r.world.now;
    s.beforeAnswer = [];
  }

  received(p: Process, m: Message, _retained: boolean): void {
    const { now } = this.#r.world;
    const ledger = this.#r.ledger(p);
    if (m.from.startsWith('weather') || !m.data) return;
    if ((m.kind === 'desk' && m.data.up === true) || m.kind === 'heartbeat') this.#heardDesk(p, m);
    if (m.kind !== 'sense' && m.kind !== 'link') return;
    for (const told of ledger.told.values()) {
      const move = ledger.prop(told.prop).moves.get(told.move);
      if (move && this.#concerns(ledger, move, m)) this.#watchNeeds(p, told, now);
    }
    if (m.kind !== 'sense') return;
    this.#watchEnds(p, ledger, m);
    if (ledger.yard.props.get(m.id)?.kind === 'stop-station') this.#watchButton(p, ledger, m.id, m.sensor);
  }

  #concerns(ledger: Ledger, move: Move, m: Message): boolean {
    return move.needs.some((n) =>
      m.kind === 'sense' ? n.prop === m.id : ledger.prop(n.prop).controller === m.id,
    );
  }

  /** 2: a need that is heard to fail halts what needs it, in the same turn. */
  #watchNeeds(p: Process, told: Told, at: number): void {
    const { world } = this.#r;
    world.at(at + TURN_MS, () => {
      if (!this.#isSame(p, told, at)) return;
      const ledger = this.#r.ledger(p);
      if (told.arrived || told.haltSentAt !== null || told.lost || !ledger.isLive(told.prop, world.now))
        return;
      this.#r.ask(2);
      for (const need of ledger.prop(told.prop).moves.get(told.move)!.needs) {
        if (need.prop === told.prop || ledger.holds(need, world.now)) continue;
        this.#r.breach(2, `${told.prop}.${told.move} was not halted though ${JSON.stringify(need)} failed`);
      }
    });
  }

  /** 12: a move ends only by what its board said in its own session; the ledger hears it before the desk does. */
  #endings(p: Process, ledger: Ledger, show: Show): void {
    const before = this.#shows.get(p);
    this.#shows.set(p, show);
    if (!before || before.props === show.props) return;
    for (const [id, told] of ledger.told) {
      const flight = before.props[id]?.flight;
      if (!flight || flight === show.props[id]!.flight || told.lost) continue;
      if (flight.run !== told.run || flight.step !== told.step) continue;
      // after a standstill the desk hears late who was live, and a retained link may tell it more than the ledger believes
      if (p.machine.lastFreeze > this.#r.world.now - FREEZE_MS) continue;
      const link = ledger.link(id);
      if (link.strangeAt === link.heardAt) continue;
      this.#r.ask(12);
      if (show.props[id]!.flight === null)
        this.#r.breach(12, `${id}.${told.move} counts as ended though no board of its session said so`);
    }
  }
  readonly #shows = new WeakMap<Process, Show>();

  /** Still the same process, at work and connected since then, without a stop, and this move still not ended. */
  #isSame(p: Process, told: Told, since: number): boolean {
    const s = this.of(p);
    if (!p.alive || p.machine.frozen || p.machine.lastFreeze >= since - TURN_MS) return false;
    if (p.line?.state !== 'up' || s.connectedSince > since || s.latched > 0 || s.above) return false;
    return this.#r.ledger(p).told.get(told.prop) === told;
  }

  /** 4: two ends made at once lock the prop out. */
  #watchEnds(p: Process, ledger: Ledger, m: Message): void {
    const { world } = this.#r;
    const at = world.now;
    const prop = ledger.yard.props.get(m.id);
    if (!prop) return;
    const two = (): boolean =>
      [...prop.sensors.values()].filter(
        (s) => s.kind === 'end' && ledger.reading(prop.id, s.id, world.now) === true,
      ).length > 1;
    if (!two()) return;
    world.at(at + TURN_MS, () => {
      if (!p.alive || p.machine.frozen || p.machine.lastFreeze >= at - TURN_MS || !two()) return;
      this.#r.ask(4);
      if (p.desk.show.props[prop.id]?.lockout === null)
        this.#r.breach(4, `${prop.id} shows two ends made and is not locked out`);
    });
  }

  /** 10: a red button that is heard pressed stops the yard, unless it is closed and at rest. */
  #watchButton(p: Process, ledger: Ledger, prop: string, sensor: string): void {
    const { world } = this.#r;
    const at = world.now;
    if (ledger.reading(prop, sensor, at) !== true) return;
    world.at(at + TURN_MS, () => {
      if (!p.alive || p.machine.frozen || p.machine.lastFreeze >= at - TURN_MS) return;
      const { show } = p.desk;
      const before = ledger.reading(prop, sensor, world.now) === true && this.#r.ledger(p) === ledger;
      if (!before || (show.mode === 'closed' && ledger.told.size === 0)) return;
      this.#r.ask(10);
      if (!show.stop.latched) this.#r.breach(10, `${prop} is pressed and the yard is ${show.mode}`);
    });
  }

  #heardDesk(p: Process, m: Message): void {
    const { desk, epoch } = m.data as { desk: string; epoch: number };
    const own = p.desk.show.desk.epoch;
    if (desk === p.word || epoch < own || (epoch === own && desk < p.word)) return;
    const s = this.of(p);
    this.#r.ask(14);
    s.above = { desk, epoch, at: s.above?.at ?? this.#r.world.now };
  }

  connected(p: Process, up: boolean): void {
    if (up) this.of(p).connectedSince = this.#r.world.now;
  }

  turned(p: Process, show: Show): void {
    const { now } = this.#r.world;
    if (!this.#r.runs.openingBySomeone(p)) this.#judgeOpened(this.of(p));
    const ledger = this.#r.ledger(p);
    // 12: no move goes on in a session that has been replaced
    this.#r.ask(12);
    for (const id of show.yard.props.keys()) {
      const flight = show.props[id]!.flight;
      if (!flight || flight.lost || flight.session === ledger.link(id).session) continue;
      this.#r.breach(12, `${id}.${flight.move} goes on in session ${flight.session}, which is void`);
    }
    this.#endings(p, ledger, show);
    // a prop taken out of service by hand no longer counts as drawing
    for (const [id, told] of ledger.told)
      if ((told.lost || !ledger.isLive(id, now)) && show.props[id]?.lockout?.fault.code === 'by-hand')
        ledger.told.delete(id);
  }

  sent(p: Process, m: Message): void {
    const s = this.of(p);
    const d = m.data!;
    if (m.kind === 'stop') {
      if (d.latched === true) s.latched = Math.max(s.latched, d.n as number);
      else if ((d.n as number) >= s.latched) {
        if (s.latched > 0) s.clearedAt = this.#r.world.now;
        s.latched = 0;
      }
      return;
    }
    if (s.above && (m.kind === 'heartbeat' || m.kind === 'do')) this.#outranked(p, s, m);
    if (m.kind === 'do') this.#order(p, s, m);
  }

  /** 14: a desk that has heard a higher one is silent. */
  #outranked(p: Process, s: Standing, m: Message): void {
    const above = s.above!;
    const { desk, epoch } = m.data as { desk: string; epoch: number };
    if (epoch > above.epoch || (epoch === above.epoch && desk > above.desk)) {
      s.above = null;
      return;
    }
    if (this.#r.world.now - Math.max(above.at, p.machine.lastFreeze) <= TURN_MS) return;
    this.#r.ask(14);
    this.#r.breach(
      14,
      `${p.name} sent a ${m.kind} under epoch ${epoch} though it heard ${above.desk} of epoch ${above.epoch}`,
    );
  }

  #order(p: Process, s: Standing, m: Message): void {
    const { now } = this.#r.world;
    const ledger = this.#r.ledger(p);
    const d = m.data as unknown as { prop: string; run: string; step: number; move: string; session: string };
    const what = `${d.prop}.${d.move} of ${d.run}/${d.step}`;
    const move = ledger.prop(d.prop).moves.get(d.move);
    if (!move) return this.#r.breach(21, `${what} is no move of the yard`);
    const bench = d.run.startsWith('bench.');
    const homing = d.run.startsWith('home.') || ledger.prop(d.prop).homeMove === d.move;
    this.#judgeStop(p, s, what, bench);
    this.#judgeNeeds(ledger, d.prop, move, what, now);
    this.#judgeLinks(p, ledger, d, what, now);
    this.#r.ask(5);
    // what is heard in one turn is taken fact by fact: an edge after the one that led to this order is of the move
    const known = ledger.known.get(d.prop) === true || ledger.lostAt.get(d.prop) === now;
    if (!bench && !homing && !known && ledger.prop(d.prop).home !== null)
      this.#r.breach(5, `${what} was told though its position is not known`);
    this.#r.ask(4);
    if (!bench && this.#r.records.isOut(p, d.prop))
      this.#r.breach(4, `${what} was told though it is locked out`);
    const { night } = p.desk.show;
    if (move.loud && night?.quietMs != null) {
      this.#r.ask(20);
      const end = p.clock.wall() + (move.lastsMs ?? 0.8 * move.usualMs);
      const set = now - p.machine.lastSet < LOOK_MS;
      if (end > night.quietMs + CLOCK_MS && !set) this.#r.breach(20, `${what} is loud and ends after quiet`);
    }
    this.#r.ask(17);
    if (p.machine.disk.lastEvent < p.desk.show.n)
      this.#r.breach(
        17,
        `${what} left before event ${p.desk.show.n} was on the disk (${p.machine.disk.lastEvent})`,
      );
    const told = this.#remember(ledger, d, what, now);
    if (!told) return;
    this.#r.truth.loads.commanded(p, ledger, told, what);
    this.#watchTime(p, told, move);
  }

  #judgeStop(p: Process, s: Standing, what: string, bench: boolean): void {
    this.#r.ask(8);
    if (s.latched > 0) this.#r.breach(8, `${what} was told under stop ${s.latched}`);
    else if (!bench && s.openedAt < s.clearedAt && s.clearedAt > Number.NEGATIVE_INFINITY) {
      // what was asked in one turn is answered after all of its orders have left
      s.beforeAnswer.push(what);
      if (!this.#r.runs.openingBySomeone(p)) this.#judgeOpened(s);
    }
  }

  #judgeOpened(s: Standing): void {
    for (const what of s.beforeAnswer.splice(0))
      this.#r.breach(8, `${what} was told after a clear and before anyone opened`);
  }

  #judgeNeeds(ledger: Ledger, prop: string, move: Move, what: string, now: number): void {
    this.#r.ask(1);
    // told again, it may have left its own end by now
    const again = ledger.told.has(prop);
    const ends = (sensor: string): boolean => ledger.prop(prop).sensors.get(sensor)?.kind === 'end';
    const left = (n: Move['needs'][number]): boolean =>
      again && n.prop === prop && !('sensor' in n && !ends(n.sensor));
    for (const need of move.needs)
      if (!left(need) && !ledger.holds(need, now))
        this.#r.breach(1, `${what} was told though ${JSON.stringify(need)} does not hold by what was heard`);
    this.#r.ask(3);
    for (const other of ledger.told.values()) {
      if (other.prop === prop || other.arrived || other.haltSentAt !== null) continue;
      for (const need of ledger.prop(other.prop).moves.get(other.move)?.needs ?? []) {
        if (need.prop !== prop) continue;
        const sensor = need.kind === 'made' ? need.sensor : null;
        const leaves =
          sensor !== null && ledger.prop(prop).sensors.get(sensor)?.kind === 'end' && move.until !== sensor;
        if (need.kind === 'at-rest' || need.kind === 'at-home' || leaves)
          this.#r.breach(3, `${what} was told while ${other.prop}.${other.move} needs it where it is`);
      }
    }
  }

  #judgeLinks(
    p: Process,
    ledger: Ledger,
    d: { prop: string; session: string },
    what: string,
    now: number,
  ): void {
    this.#r.ask(12);
    if (d.session !== ledger.link(d.prop).session)
      this.#r.breach(12, `${what} bears session ${d.session}, and ${ledger.link(d.prop).session} stands`);
    if (!ledger.isLive(d.prop, now)) this.#r.breach(1, `${what} was told though its link is not live`);
    if (!p.driving) this.#r.breach(14, `${what} was told before the desk had begun`);
  }

  /** 6 and 7: one move at a time, and at most told twice. */
  #remember(
    ledger: Ledger,
    d: { prop: string; run: string; step: number; move: string; session: string },
    what: string,
    now: number,
  ): Told | null {
    const was = ledger.told.get(d.prop);
    this.#r.ask(6);
    if (was && was.run === d.run && was.step === d.step) {
      was.tries += 1;
      this.#r.ask(7);
      if (was.tries > 2) this.#r.breach(7, `${what} was told a third time`);
      else if (was.startedAt !== null) this.#r.breach(7, `${what} was told again after it had started`);
      return null;
    }
    if (was) this.#r.breach(6, `${what} was told while ${was.move} of ${was.run}/${was.step} has not ended`);
    const told: Told = {
      ...d,
      sentAt: now,
      tries: 1,
      startedAt: null,
      countFrom: null,
      arrived: false,
      haltSentAt: null,
      lost: false,
    };
    ledger.told.set(d.prop, told);
    return told;
  }

  /** 4: a move that gives no answer, or takes longer than its limit, is halted when its time has come. */
  #watchTime(p: Process, told: Told, move: Move): void {
    const { world } = this.#r;
    const live = (): boolean => this.#r.ledger(p).isLive(told.prop, world.now);
    const session = (): boolean => this.#r.ledger(p).link(told.prop).session === told.session;
    world.at(told.sentAt + NO_ANSWER_MS + GRACE_MS, () => {
      if (!this.#isSame(p, told, told.sentAt) || !live() || !session() || told.startedAt !== null) return;
      this.#r.ask(4);
      if (told.haltSentAt === null && told.lost === false && this.#r.truth.quietSince(told.sentAt))
        this.#r.breach(
          4,
          `${told.prop}.${told.move} gave no answer for ${NO_ANSWER_MS} ms and was not halted`,
        );
    });
    const latest = told.sentAt + NO_ANSWER_MS + move.limitMs + LIMIT_MS + GRACE_MS;
    world.at(latest, () => {
      if (!this.#isSame(p, told, told.sentAt) || !live() || !session()) return;
      this.#r.ask(4);
      if (told.haltSentAt === null && this.#r.truth.quietSince(told.sentAt))
        this.#r.breach(4, `${told.prop}.${told.move} went on past its limit of ${move.limitMs} ms unhalted`);
    });
  }
}
