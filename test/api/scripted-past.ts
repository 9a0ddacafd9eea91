import { PastBusy, type PastDoor } from '../../server/past/past.ts';
import type { Then } from '../../server/past/reader.ts';
import { NOW, saltmarsh } from './scripted-door.ts';

/** A past that says what the test gives it. */
export class ScriptedPast implements PastDoor {
  readonly asked: unknown[] = [];
  busy = false;

  async nights(): Promise<string> {
    return this.#say({
      nights: [{ night: '2026-10-31', plannedAt: NOW - 7_200_000, runs: 212, openedAt: null }],
    });
  }

  async course(night: string): Promise<string | null> {
    this.asked.push({ night });
    if (night !== '2026-10-31') return null;
    const marks = {
      runs: [[NOW - 60_000, NOW - 2000]],
      missed: [],
      faults: [NOW - 60_000],
      stops: [],
      turns: [],
    };
    return this.#say({ night, from: NOW - 3_600_000, to: NOW, ...marks });
  }

  async moment(at: number): Promise<string | null> {
    this.asked.push({ at });
    if (at < NOW - 86_400_000) return null;
    const line = { n: 7, at, code: 'homed', text: 'Ferry is home.', prop: 'ferry', scene: null, run: null };
    return this.#say({
      at,
      picture: { ...saltmarsh(), at },
      lines: [line],
      off: false,
      gap: false,
    } satisfies Then);
  }

  async story(prop: string, before: number | null, limit: number): Promise<string> {
    this.asked.push({ prop, before, limit });
    return this.#say({ lines: [], before: null });
  }

  #say(what: object): string {
    if (this.busy) throw new PastBusy('busy');
    return JSON.stringify(what);
  }
}
