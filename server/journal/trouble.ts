/** What can be wrong with the record, the numbers or their folder. */
export type JournalTrouble =
  | 'full'
  | 'read-only'
  | 'locked'
  /** Damaged: refused, and left as it is for a person to look at. */
  | 'corrupt'
  /** No file of ours. */
  | 'foreign'
  /** Written by a later version. */
  | 'newer'
  /** Can't be opened or made: no rights, no such disk, a file where a folder should be. */
  | 'unusable'
  /** The disk failed to read or write. */
  | 'io'
  /** An event was not numbered above the last one kept. */
  | 'order';

/** `message` is a sentence for the keeper, naming the file and what to do. */
export class JournalError extends Error {
  override readonly name = 'JournalError';
  readonly code: JournalTrouble;
  readonly path: string;

  constructor(code: JournalTrouble, path: string, options: { detail?: string; cause?: unknown } = {}) {
    super(sentence(code, path, options.detail), { cause: options.cause });
    this.code = code;
    this.path = path;
  }
}

function sentence(code: JournalTrouble, path: string, detail: string | undefined): string {
  const more = detail ? ` (${detail})` : '';
  switch (code) {
    case 'full':
      return `The disk is full: ${path} can't be written${more}. Free some space on it.`;
    case 'read-only':
      return `${path} can't be written: the disk or the file is read-only${more}. A worn-out card turns read-only; copy the folder to a new one.`;
    case 'locked':
      return `${path} is in use by another program${more}. Stop that one, or give this one another data folder with DUSKLATCH_DATA.`;
    case 'corrupt':
      return `${path} is damaged${more}. It is left as it is: copy it somewhere safe, then move it out of the data folder to begin a new one.`;
    case 'foreign':
      return `${path} is not a file of Dusklatch${more}. Move it elsewhere, or choose another data folder with DUSKLATCH_DATA.`;
    case 'newer':
      return `${path} was written by a newer Dusklatch${more}. Use that version, or another data folder with DUSKLATCH_DATA.`;
    case 'unusable':
      return `The data folder can't be used: ${path}${more}. Check that it exists, that it is a folder and that this user may write in it.`;
    case 'io':
      return `The disk fails: ${path} can't be read or written${more}. Look at the disk, the card and its cable.`;
    case 'order':
      return `${path} refused an event out of order${more}.`;
  }
}

/** SQLite's primary result codes, https://www.sqlite.org/rescode.html. */
const BY_SQLITE_CODE: ReadonlyMap<number, JournalTrouble> = new Map([
  [3, 'unusable'], // SQLITE_PERM
  [5, 'locked'], // SQLITE_BUSY
  [6, 'locked'], // SQLITE_LOCKED
  [8, 'read-only'], // SQLITE_READONLY
  [10, 'io'], // SQLITE_IOERR
  [11, 'corrupt'], // SQLITE_CORRUPT
  [13, 'full'], // SQLITE_FULL
  [14, 'unusable'], // SQLITE_CANTOPEN
  [15, 'locked'], // SQLITE_PROTOCOL
  [19, 'order'], // SQLITE_CONSTRAINT
  [23, 'unusable'], // SQLITE_AUTH
  [26, 'corrupt'], // SQLITE_NOTADB
]);

const BY_ERRNO: ReadonlyMap<string, JournalTrouble> = new Map([
  ['ENOSPC', 'full'],
  ['EDQUOT', 'full'],
  ['EROFS', 'read-only'],
  ['EIO', 'io'],
  ['EACCES', 'unusable'],
  ['EPERM', 'unusable'],
  ['ENOTDIR', 'unusable'],
  ['EEXIST', 'unusable'],
  ['ENOENT', 'unusable'],
  ['EISDIR', 'unusable'],
  ['ENAMETOOLONG', 'unusable'],
  ['ELOOP', 'unusable'],
]);

/** An error of SQLite or of the file system as ours; anything else, which is a mistake of the program, as it was. */
export function asJournalError(error: unknown, path: string): unknown {
  if (!(error instanceof Error) || error instanceof JournalError) return error;
  const detail = error.message;
  if ('sqliteCode' in error && typeof error.sqliteCode === 'number') {
    const code = BY_SQLITE_CODE.get(error.sqliteCode & 0xff) ?? 'io';
    return new JournalError(code, path, { detail, cause: error });
  }
  if ('code' in error && typeof error.code === 'string' && 'syscall' in error) {
    const code = BY_ERRNO.get(error.code) ?? 'io';
    return new JournalError(code, path, { detail, cause: error });
  }
  return error;
}
