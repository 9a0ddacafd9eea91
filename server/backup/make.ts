import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { zipSync } from 'fflate';
import { readYard } from '../file/read.ts';
import { numbersIn } from '../journal/numbers.ts';
import { journalPath } from '../journal/sqlite.ts';
import {
  BACKUP_FILES,
  type BackupFile,
  MANIFEST,
  MANIFEST_HEAD,
  type Manifest,
  PLAIN_FILES,
  sumOf,
  ZIP_LIMIT_BYTES,
} from './manifest.ts';
import { peopleIn } from './people-in.ts';
import { copyRecord } from './record-copy.ts';
import { BackupRefused } from './refused.ts';

export interface BackupOrder {
  readonly dataDir: string;
  /** The yard file as it lies on the disk. */
  readonly yardText: string;
  readonly demonstration: boolean;
  readonly program: string;
  /** ms since 1970. */
  readonly madeAt: number;
}

/**
 * One zip with all that a yard computer keeps. Sync and slow for a large record: a running daemon has it made on a
 * thread of its own. Throws `BackupRefused`, `JournalError` and what the disk says.
 */
export function makeBackup(order: BackupOrder): Uint8Array {
  const { dataDir } = order;
  if (!existsSync(journalPath(dataDir))) throw new BackupRefused('no-record', dataDir);
  const work = mkdtempSync(join(dataDir, 'backup-'));
  try {
    const { nights } = copyRecord(dataDir, work);
    const files = new Map<BackupFile, Uint8Array>([
      ['yard.yaml', Buffer.from(order.yardText)],
      ['record.db', readFileSync(journalPath(work))],
    ]);
    for (const name of PLAIN_FILES) {
      const path = join(dataDir, name);
      if (existsSync(path)) files.set(name, readFileSync(path));
    }
    for (const [name, bytes] of files)
      if (bytes.length > BACKUP_FILES[name]) throw new BackupRefused('backup-too-large', name);
    const people = peopleIn(files.get('people.json') ?? null);
    const manifest = manifestOf(order, files, nights, people);
    return packed(files, manifest, order.madeAt);
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}

function manifestOf(
  { yardText, dataDir, demonstration, program, madeAt }: BackupOrder,
  files: ReadonlyMap<BackupFile, Uint8Array>,
  nights: number,
  people: number,
): Manifest {
  const read = readYard(yardText);
  return {
    ...MANIFEST_HEAD,
    program,
    madeAt,
    yard: read.ok
      ? { id: read.yard.id, title: read.yard.title.slice(0, 200) }
      : { id: 'unread', title: 'A yard file with mistakes' },
    demonstration,
    numbers: numbersIn(dataDir),
    nights,
    people,
    files: [...files].map(([name, bytes]) => ({ name, bytes: bytes.length, sha256: sumOf(bytes) })),
  };
}

function packed(files: ReadonlyMap<BackupFile, Uint8Array>, manifest: Manifest, madeAt: number): Uint8Array {
  // The zip's own times reach from 1980 to 2099; what counts stands in the manifest.
  const mtime = new Date(Math.min(Math.max(madeAt, Date.UTC(1981, 0)), Date.UTC(2098, 0)));
  const zip = zipSync(
    { [MANIFEST]: Buffer.from(`${JSON.stringify(manifest, null, 2)}\n`), ...Object.fromEntries(files) },
    { level: 6, mtime },
  );
  if (zip.length > ZIP_LIMIT_BYTES) throw new BackupRefused('backup-too-large', 'The backup');
  return zip;
}
