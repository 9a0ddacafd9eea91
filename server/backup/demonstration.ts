import { existsSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/*
 * Whether a data folder is the demonstration's: its backups go back into a demonstration alone. `serve` knows it and
 * writes it down, since the folder may bear any name, and `dusklatch backup` sees nothing but the folder.
 */

const marker = (dataDir: string): string => join(dataDir, 'demonstration.mark');

/** Writes down whose folder it is. A disk that takes no writes does not hold the start up: the backup alone reads this. */
export function markFolder(dataDir: string, demonstration: boolean): void {
  try {
    if (!demonstration) rmSync(marker(dataDir), { force: true });
    else if (!existsSync(marker(dataDir)))
      writeFileSync(marker(dataDir), 'The record of a demonstration: nothing here is real.\n', {
        mode: 0o600,
      });
  } catch {
    // what can't be written is told by the record itself, which needs the same disk
  }
}

/** As the last start of `serve` wrote it down. */
export function isDemonstration(dataDir: string): boolean {
  return existsSync(marker(dataDir));
}
