import type { BackupDoor } from '../../server/backup/backups.ts';
import { ThreadRefused } from '../../server/backup/on-thread.ts';

/** Backups as a test wants them: a zip that says `bad` is refused, one that says `disk` meets a full disk. */
export class ScriptedBackups implements BackupDoor {
  busy = false;
  against: 'restore-not-closed' | 'restore-stopped' | 'restore-moving' | 'restore-read-only' | null = null;
  restored: string | null = null;

  async make() {
    if (this.busy) return 'busy' as const;
    return { zip: Buffer.from('PK'), name: 'dusklatch-2026.zip' };
  }

  async check(zip: Uint8Array) {
    if (this.busy) return 'busy' as const;
    const text = Buffer.from(zip).toString();
    if (text.includes('bad')) throw new ThreadRefused('no-zip', 'This is no whole zip file.');
    if (text.includes('disk')) throw Object.assign(new Error('full'), { code: 'ENOSPC', syscall: 'write' });
    return { sum: 'abc', madeAt: 1, program: '1', yard: 'Saltmarsh Landing', nights: 2, people: 1 };
  }

  startAnew(): boolean {
    return this.against === null;
  }

  async restore(sum: string) {
    if (this.busy) return 'busy' as const;
    if (this.against) return this.against;
    if (sum !== 'abc') return 'not-checked' as const;
    this.restored = sum;
    return { kept: 'backups/before-restore.zip' };
  }
}
