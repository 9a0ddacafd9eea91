import { join } from 'node:path';
import { keepFile, readKept } from '../api/kept-file.ts';
import { rfc3339 } from '../calendar/local-time.ts';
import type { Entry } from '../show/effects.ts';
import type { Show } from '../show/show.ts';
import { english } from '../words/en/english.ts';
import type { NoteWords, Tongue } from '../words/tongue.ts';
import type { Yard } from '../yard/types.ts';
import type { Post, Posted } from './post.ts';
import { isQuiet, NO_NOTICES, type NoticeKind, type NoticeSettings, noticeSettings } from './settings.ts';

/** What is posted, as JSON. */
export interface NoticeBody {
  readonly what: NoticeKind | 'trial';
  /** The yard's title. */
  readonly yard: string;
  /** RFC 3339, local time of the yard. */
  readonly at: string;
  /** Whole sentences, as they stand in the record. */
  readonly text: string;
  readonly prop: string | null;
}

/** What became of a notice, for a page. */
export interface NoticeFate {
  /** ms since 1970. */
  readonly at: number;
  readonly what: NoticeKind | 'trial';
  readonly fate: 'sent' | 'failed' | 'quiet' | 'too-many';
  /** Why it failed, a clause; else null. */
  readonly why: string | null;
}

/** Where notices go, and what became of the last ones, newest first. */
export interface NoticesTold {
  readonly settings: NoticeSettings;
  readonly fates: readonly NoticeFate[];
}

/** What the page may do with notices. */
export interface NoticeDoor extends NoticesTold {
  /** On disk first. Throws what the disk says. */
  set(settings: NoticeSettings): Promise<void>;
  /** Sends one now, also in quiet hours, and says what came of it; null where no address is set. */
  trial(by: string): Promise<Posted | null>;
}

export interface NoticeParts {
  readonly folder: string;
  readonly post: Post;
  /** The wall clock, ms since 1970. */
  readonly clock: () => number;
  readonly yard: () => Yard;
  /** Runs after so many ms; returns how to take it back. */
  readonly later: (run: () => void, ms: number) => () => void;
  readonly log: { warn(what: object, text: string): void };
  /** Left out, English. */
  readonly tongue?: Tongue;
  /** What people see of it has changed. */
  readonly changed: () => void;
}

interface Waiting {
  readonly body: NoticeBody;
  readonly at: number;
  tries: number;
}

/** Waits between the tries of one notice; after the last it is given up. */
const AGAIN_MS = [5_000, 30_000, 120_000] as const;
const WAITING_MOST = 20;
const FATES_KEPT = 20;

/**
 * Tells an address of what should bring somebody running: stops, lockouts, a record that can't be written, a bus that
 * is gone. It hears of them within the desk's turn and does nothing there but put them in line; they go out one by one
 * afterwards, a stop ahead of the rest, each tried a few times and then given up and said so. It is a convenience: nothing waits for it, and a
 * notice that does not come means nothing.
 */
export class Notices implements NoticeDoor {
  readonly #parts: NoticeParts;
  readonly #path: string;
  settings: NoticeSettings;
  #waiting: Waiting[] = [];
  #fates: NoticeFate[] = [];
  #sending = false;
  #takeBack: (() => void) | null = null;
  #recordFailing = false;
  #connected = false;
  #closed = false;

  private constructor(parts: NoticeParts, path: string, settings: NoticeSettings) {
    this.#parts = parts;
    this.#path = path;
    this.settings = settings;
  }

  /** Settings that can't be read are set aside, and none are sent until they are set again. Throws what the disk says. */
  static async open(parts: NoticeParts): Promise<Notices> {
    const path = join(parts.folder, 'notices.json');
    const kept = await readKept(path, noticeSettings);
    if (kept.state === 'set-aside')
      parts.log.warn({ file: kept.as }, 'The settings of notices could not be read and were set aside.');
    return new Notices(parts, path, kept.state === 'read' ? kept.value : NO_NOTICES);
  }

  get #words(): NoteWords {
    return (this.#parts.tongue ?? english).notes;
  }

  get fates(): readonly NoticeFate[] {
    return this.#fates;
  }

  /** Why the last notice did not get through, a clause; null where it did, or none was sent. */
  get trouble(): string | null {
    const last = this.#fates.find(({ fate }) => fate === 'sent' || fate === 'failed');
    return last?.fate === 'failed' ? last.why : null;
  }

  async set(settings: NoticeSettings): Promise<void> {
    await keepFile(this.#path, settings);
    this.settings = settings;
    // What waits was meant for where it was to go before.
    this.#waiting = [];
    this.#fates = [];
    this.#parts.changed();
  }

  async trial(by: string): Promise<Posted | null> {
    const { address } = this.settings;
    if (address === null) return null;
    const text = this.#words.trialNotice(by);
    const posted = await this.#parts.post(address, this.#body('trial', text, null));
    this.#note('trial', posted.ok ? 'sent' : 'failed', posted.ok ? null : posted.why);
    return posted;
  }

  /** A line of the record, within the turn. */
  heard({ reason, prop }: Entry, text: string): void {
    if (reason.code === 'stop-pressed') return this.#news('stop', text, null);
    if (reason.code !== 'lockout-raised') return;
    const { code, first } = reason.fault;
    // A warning of wear can wait for the report, and what a person does they know; what follows another comes with it.
    if (code === 'drift' || code === 'by-hand' || first !== undefined) return;
    this.#news('lockout', text, prop ?? null);
  }

  /** The show after a turn: what no line of the record can tell of. */
  turned(show: Pick<Show, 'recordFailing' | 'desk'>): void {
    const failing = show.recordFailing !== null;
    if (failing && !this.#recordFailing)
      this.#news('record', this.#words.recordFails(show.recordFailing!), null);
    this.#recordFailing = failing;
    const { connected } = show.desk;
    if (!connected && this.#connected) this.#news('bus', this.#words.busGoneNotice, null);
    this.#connected = connected;
  }

  close(): void {
    this.#closed = true;
    this.#takeBack?.();
    this.#waiting = [];
  }

  #news(what: NoticeKind, text: string, prop: string | null): void {
    const { address, about, quiet } = this.settings;
    if (address === null || !about.includes(what) || this.#closed) return;
    const at = this.#parts.clock();
    if (what !== 'stop' && isQuiet(quiet, this.#parts.yard().timezone, at))
      return this.#note(what, 'quiet', null);
    const news: Waiting = { body: this.#body(what, text, prop), at, tries: 0 };
    if (what === 'stop') this.#waiting.unshift(news);
    else this.#waiting.push(news);
    if (this.#waiting.length > WAITING_MOST) {
      const lost = this.#waiting.splice(WAITING_MOST);
      for (const { body } of lost) this.#note(body.what, 'too-many', null);
    }
    this.#sendSoon(0);
  }

  #body(what: NoticeBody['what'], text: string, prop: string | null): NoticeBody {
    const yard = this.#parts.yard();
    return { what, yard: yard.title, at: rfc3339(yard, this.#parts.clock()), text, prop };
  }

  #sendSoon(ms: number): void {
    if (this.#sending || this.#closed) return;
    this.#takeBack?.();
    this.#takeBack = this.#parts.later(() => {
      this.#takeBack = null;
      void this.#sendNext();
    }, ms);
  }

  async #sendNext(): Promise<void> {
    const { address } = this.settings;
    const next = this.#waiting[0];
    if (!next || address === null || this.#sending || this.#closed) return;
    this.#sending = true;
    const posted = await this.#parts.post(address, next.body);
    this.#sending = false;
    if (this.#closed || this.settings.address !== address) return this.#sendSoon(0);
    next.tries += 1;
    const again = AGAIN_MS[next.tries - 1];
    if (!posted.ok && again !== undefined) return this.#sendSoon(this.#waiting[0] === next ? again : 0);
    this.#waiting = this.#waiting.filter((one) => one !== next);
    this.#note(next.body.what, posted.ok ? 'sent' : 'failed', posted.ok ? null : posted.why);
    if (!posted.ok) {
      const { host } = new URL(address);
      this.#parts.log.warn({ host }, `A notice did not get through: ${posted.why}.`);
    }
    this.#sendSoon(0);
  }

  #note(what: NoticeFate['what'], fate: NoticeFate['fate'], why: string | null): void {
    this.#fates = [{ at: this.#parts.clock(), what, fate, why }, ...this.#fates].slice(0, FATES_KEPT);
    this.#parts.changed();
  }
}
