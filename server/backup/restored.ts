import { openFolder } from '../journal/folder.ts';
import { dropChecked, finishRestore, isReady } from './stage.ts';

/** A restore that a keeper asked for takes its place before anything of the folder is opened. Throws what the disk says. */
export function takeRestored(dataDir: string, log: { warn(what: object, text: string): void }): void {
  if (isReady(dataDir)) {
    const folder = openFolder(dataDir);
    try {
      finishRestore(dataDir);
    } finally {
      folder.close();
    }
    log.warn({}, 'A backup was restored. What was there before is kept in the folder “backups”.');
  }
  dropChecked(dataDir);
}
