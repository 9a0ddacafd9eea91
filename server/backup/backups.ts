import { mkdir, readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import type { Mode } from '../show/reasons.ts';
import { onThread } from './on-thread.ts';
import { type BackupTold, makeReady, unwritable } from './stage.ts';

export type RestoreAgainst =
  | 'restore-not-closed'
  | 'restore-stopped'
  | 'restore-moving'
  | 'restore-read-only';

/** What the page may do with backups. */
export interface BackupDoor {
  /** Rejects with `ThreadRefused`, or with what the disk says. */
  make(): Promise<{ zip: Uint8Array; name: string } | 'busy'>;
  /** Reads a backup and lays it beside; nothing in use is changed. Rejects as above. */
  check(zip: Uint8Array): Promise<BackupTold | 'busy'>;
  /** Restores what was checked last, and starts the yard computer anew with it. `kept`: the present state, as one more backup. */
  restore(sum: string): Promise<{ kept: string } | RestoreAgainst | 'busy' | 'not-checked'>;
  /** Starts the yard computer anew, as for a changed bus; false where the yard is not closed and at rest. */
  startAnew(): boolean;
}

export interface BackupParts {
  readonly dataDir: string;
  readonly yardPath: string;
  readonly demonstration: boolean;
  readonly program: string;
  /** The wall clock, ms since 1970. */
  readonly clock: () => number;
  readonly state: () => { readonly mode: Mode; readonly latched: boolean; readonly moving: boolean };
  /** Ends this start and begins anew. */
  readonly restart: () => void;
}

/** Backups of a running yard computer, one piece of work at a time. */
export class Backups implements BackupDoor {
  readonly #parts: BackupParts;
  #busy = false;

  constructor(parts: BackupParts) {
    this.#parts = parts;
  }

  make(): Promise<{ zip: Uint8Array; name: string } | 'busy'> {
    return this.#alone(async () => {
      const madeAt = this.#parts.clock();
      return { zip: await this.#packed(madeAt), name: backupName('dusklatch', madeAt) };
    });
  }

  check(zip: Uint8Array): Promise<BackupTold | 'busy'> {
    const { dataDir, demonstration, yardPath } = this.#parts;
    return this.#alone(
      async () =>
        (await onThread({
          do: 'check',
          zip,
          order: { dataDir, demonstration, yardPath: demonstration ? null : yardPath },
        })) as BackupTold,
    );
  }

  restore(sum: string): Promise<{ kept: string } | RestoreAgainst | 'busy' | 'not-checked'> {
    return this.#alone(async () => {
      const { dataDir, clock, restart } = this.#parts;
      const against = this.#against();
      if (against) return against;
      const madeAt = clock();
      const folder = join(dataDir, 'backups');
      await mkdir(folder, { recursive: true, mode: 0o700 });
      const kept = join(folder, backupName('before-restore', madeAt));
      await writeFileAtomic(kept, Buffer.from(await this.#packed(madeAt)), { mode: 0o600 });
      // The packing took a while: somebody may have opened the yard since.
      const since = this.#against();
      if (since) return since;
      if (!makeReady(dataDir, sum)) return 'not-checked';
      restart();
      return { kept: join('backups', basename(kept)) };
    });
  }

  startAnew(): boolean {
    const { mode, latched, moving } = this.#parts.state();
    const atRest = mode === 'closed' || latched || this.#parts.demonstration;
    if (this.#busy || !atRest || moving) return false;
    this.#parts.restart();
    return true;
  }

  /** The record is exchanged under the desk's feet: nobody may be relying on what it drives. */
  #against(): RestoreAgainst | null {
    const { mode, latched, moving } = this.#parts.state();
    // A latched stop is held up by its number, which the backup's may outdo.
    if (latched) return 'restore-stopped';
    if (this.#parts.demonstration) return null;
    if (mode !== 'closed') return 'restore-not-closed';
    if (moving) return 'restore-moving';
    return unwritable(this.#parts.yardPath) === null ? null : 'restore-read-only';
  }

  async #packed(madeAt: number): Promise<Uint8Array> {
    const { dataDir, yardPath, demonstration, program } = this.#parts;
    const yardText = await readFile(yardPath, 'utf8');
    return (await onThread({
      do: 'make',
      order: { dataDir, yardText, demonstration, program, madeAt },
    })) as Uint8Array;
  }

  async #alone<T>(work: () => Promise<T>): Promise<T | 'busy'> {
    if (this.#busy) return 'busy';
    this.#busy = true;
    try {
      return await work();
    } finally {
      this.#busy = false;
    }
  }
}

/** `dusklatch-2026-10-31T2114.zip`, by UTC: two of the hour that comes twice are not one. */
export function backupName(head: string, madeAt: number): string {
  return `${head}-${new Date(madeAt).toISOString().slice(0, 19).replaceAll(':', '')}Z.zip`;
}
