import { timingSafeEqual } from 'node:crypto';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import { keepFile, readKept } from './kept-file.ts';
import { newCost, newPin, type PinCost, PinHash } from './pin-hash.ts';
import { Sessions } from './sessions.ts';

/** A keeper may do all; a helper runs the show but clears no stop, releases no prop and benches nothing. */
export type Role = 'keeper' | 'helper';

export interface Person {
  readonly name: string;
  readonly role: Role;
}

export type PeopleRefusal = 'name-taken' | 'pin-taken' | 'last-keeper' | 'too-many-people' | 'no-such-person';

const PEOPLE_AT_MOST = 50;
const FIRST_KEEPER = 'keeper';

export const PIN = /^\d{4,12}$/;

/** The keeper's PIN that was given at start can't be set; `message` says why. */
export class PinError extends Error {}

const personSchema = z.strictObject({
  name: z.string(),
  role: z.enum(['keeper', 'helper']),
  hash: z.string(),
});
/** The list as it lies in the data folder. */
export const peopleFileSchema = z.strictObject({
  version: z.literal(1),
  cost: z.strictObject({ N: z.int(), r: z.int(), p: z.int(), salt: z.string() }),
  people: z.array(personSchema).max(PEOPLE_AT_MOST),
});

type Kept = z.infer<typeof personSchema>;

export interface PeopleSettings {
  /** The data folder; made where it is not there. */
  readonly folder: string;
  /** Sets the first keeper's PIN; null: the one on disk holds, or one is made. */
  readonly keeperPin: string | null;
  /** Wall time, ms. */
  readonly clock: () => number;
  readonly log: { warn(what: object, text: string): void };
  /** Only tests make hashing cheaper. */
  readonly cost?: Omit<PinCost, 'salt'>;
}

/**
 * Who may do what, kept in the data folder: PINs hashed, sessions by the hash of their token. A stop asks none of it.
 */
export class People {
  private readonly path: string;
  private readonly pins: PinHash;
  private readonly sessions: Sessions;
  private list: readonly Kept[];
  /** Changes to the list go one after the other. */
  private turn: Promise<unknown> = Promise.resolve();

  private constructor(path: string, pins: PinHash, sessions: Sessions, list: readonly Kept[]) {
    this.path = path;
    this.pins = pins;
    this.sessions = sessions;
    this.list = list;
  }

  /**
   * Reads the folder. `madePin` is the keeper's PIN where one had to be made: to be shown once, since only its hash
   * is kept. Throws `PinError` where `keeperPin` is no PIN or belongs to someone else, and what the disk said where it refuses.
   */
  static async open(settings: PeopleSettings): Promise<{ people: People; madePin: string | null }> {
    const { folder, keeperPin, clock, log } = settings;
    if (keeperPin !== null && !PIN.test(keeperPin))
      throw new PinError('The keeper PIN must be 4 to 12 digits.');
    await mkdir(folder, { recursive: true, mode: 0o700 });
    const path = join(folder, 'people.json');
    const kept = await readKept(path, peopleFileSchema);
    if (kept.state === 'set-aside') {
      log.warn(
        { file: kept.as },
        'The list of people could not be read and was set aside. A new keeper PIN holds.',
      );
    }
    const sessions = new Sessions(folder, clock, (error) =>
      log.warn(
        { error: String(error) },
        'Sign-ins could not be kept: after a restart everyone signs in again.',
      ),
    );
    await sessions.read();
    const known = kept.state === 'read' ? kept.value : { cost: newCost(settings.cost), people: [] };
    const people = new People(path, new PinHash(known.cost), sessions, known.people);
    const madePin = keeperPin === null && !people.list.some((p) => p.role === 'keeper') ? newPin() : null;
    const pin = keeperPin ?? madePin;
    if (pin !== null) await people.setFirstKeeper(pin);
    return { people, madePin };
  }

  /** A session for the person whose PIN this is; null for nobody's. Throws `PinBusy`. Takes as long for a wrong PIN. */
  async signIn(pin: string): Promise<{ token: string; until: number; person: Person } | null> {
    const found = this.withHash(await this.pins.hash(pin));
    if (!found) return null;
    return { ...(await this.sessions.begin(found.name)), person: found };
  }

  /** A session for a keeper without a PIN: only the demonstration gives one. There is always a keeper. */
  async beginAsKeeper(): Promise<{ token: string; until: number; person: Person }> {
    const { name, role } = this.list.find((p) => p.role === 'keeper')!;
    return { ...(await this.sessions.begin(name)), person: { name, role } };
  }

  /** Who holds this token, and until when (wall time, ms). */
  whoIs(token: string | undefined): { person: Person; until: number } | null {
    const session = token ? this.sessions.find(token) : null;
    const found = session && this.list.find((p) => p.name === session.name);
    return found ? { person: { name: found.name, role: found.role }, until: session.until } : null;
  }

  async signOut(token: string | undefined): Promise<void> {
    if (token) await this.sessions.end(token);
  }

  all(): Person[] {
    return this.list.map(({ name, role }) => ({ name, role }));
  }

  /** Null where it was done and is on disk. Throws `PinBusy`, or what the disk said. */
  add(person: Person, pin: string): Promise<PeopleRefusal | null> {
    return this.change(async () => {
      if (this.list.length >= PEOPLE_AT_MOST) return 'too-many-people';
      if (this.list.some((p) => p.name === person.name)) return 'name-taken';
      const hash = await this.pins.hash(pin);
      if (this.withHash(hash)) return 'pin-taken';
      await this.keep([
        ...this.list,
        { name: person.name, role: person.role, hash: hash.toString('base64url') },
      ]);
      return null;
    });
  }

  remove(name: string): Promise<PeopleRefusal | null> {
    return this.change(async () => {
      const left = this.list.filter((p) => p.name !== name);
      if (left.length === this.list.length) return 'no-such-person';
      if (!left.some((p) => p.role === 'keeper')) return 'last-keeper';
      await this.keep(left);
      await this.sessions.endAllOf(name);
      return null;
    });
  }

  /** Signs the person out everywhere but where `butToken` is. */
  setPin(name: string, pin: string, butToken: string | null): Promise<PeopleRefusal | null> {
    return this.change(async () => {
      if (!this.list.some((p) => p.name === name)) return 'no-such-person';
      const hash = await this.pins.hash(pin);
      const holder = this.withHash(hash);
      if (holder && holder.name !== name) return 'pin-taken';
      const kept = hash.toString('base64url');
      await this.keep(this.list.map((p) => (p.name === name ? { ...p, hash: kept } : p)));
      await this.sessions.endAllOf(name, butToken);
      return null;
    });
  }

  private async setFirstKeeper(pin: string): Promise<void> {
    const holder = this.withHash(await this.pins.hash(pin));
    if (holder?.role === 'keeper') return;
    if (holder) throw new PinError(`The keeper PIN is already the PIN of ${holder.name}. Choose another.`);
    const first = this.list.find((p) => p.role === 'keeper');
    const refused = first
      ? await this.setPin(first.name, pin, null)
      : await this.add({ name: this.freeKeeperName(), role: 'keeper' }, pin);
    if (refused) throw new PinError(`The keeper PIN could not be set (${refused}).`);
  }

  private freeKeeperName(): string {
    let name = FIRST_KEEPER;
    for (let n = 2; this.list.some((p) => p.name === name); n += 1) name = `${FIRST_KEEPER} ${n}`;
    return name;
  }

  /** Compares with every person, whoever it turns out to be: the time tells nothing. */
  private withHash(hash: Buffer): Person | null {
    let found: Person | null = null;
    for (const { name, role, hash: kept } of this.list) {
      const bytes = Buffer.from(kept, 'base64url');
      if (bytes.length === hash.length && timingSafeEqual(bytes, hash)) found = { name, role };
    }
    return found;
  }

  private change(work: () => Promise<PeopleRefusal | null>): Promise<PeopleRefusal | null> {
    const mine = this.turn.then(work);
    this.turn = mine.catch(() => {});
    return mine;
  }

  /** On disk first: a list that the disk refused is not in force either. */
  private async keep(list: readonly Kept[]): Promise<void> {
    await keepFile(this.path, { version: 1, cost: this.pins.cost, people: list });
    this.list = list;
  }
}
