/** Why a backup is not made or not taken. */
export type BackupRefusal =
  | 'no-zip'
  | 'no-backup'
  | 'newer-backup'
  | 'backup-too-large'
  | 'strange-file'
  | 'file-missing'
  | 'wrong-sum'
  | 'backup-yard'
  | 'backup-record'
  | 'backup-people'
  | 'backup-other'
  | 'no-record';

/** `message` is whole sentences for a keeper: what is wrong, that nothing was changed, what to do. */
export class BackupRefused extends Error {
  readonly code: BackupRefusal;

  constructor(code: BackupRefusal, detail = '') {
    super(SENTENCES[code](detail));
    this.code = code;
  }
}

const KEPT = 'Nothing was changed.';

const SENTENCES: Readonly<Record<BackupRefusal, (detail: string) => string>> = {
  'no-zip': () =>
    `This is no whole zip file: it was cut short on its way, or is something else. ${KEPT} Copy it again from where it was kept.`,
  'no-backup': () => `This zip is no backup of Dusklatch: it has no list of what is in it. ${KEPT}`,
  'newer-backup': (format) =>
    `This backup was made by a newer Dusklatch (format ${format}). ${KEPT} Bring this one up to date first.`,
  'backup-too-large': (what) => `${what} is larger than any backup has. ${KEPT} Is this the right file?`,
  'strange-file': (name) => `The zip has ${name} in it, which no backup has. ${KEPT}`,
  'file-missing': (name) =>
    `${name} is missing in this backup, or is not listed in it. ${KEPT} Take an older one.`,
  'wrong-sum': (name) =>
    `${name} in this backup is not what was put into it: its sum is another. ${KEPT} Copy it again, or take an older one.`,
  'backup-yard': (why) => `The yard file in this backup has a mistake. ${why} ${KEPT}`,
  'backup-record': (why) => `The record in this backup can’t be used: ${why}. ${KEPT}`,
  'backup-people': (why) => `The list of people in this backup can’t be used: ${why}. ${KEPT}`,
  'backup-other': (what) =>
    what === 'demonstration'
      ? `This is a backup of the demonstration, and this is a yard of your own. ${KEPT}`
      : `This is a backup of a yard of its own, and this is the demonstration. ${KEPT} Start your yard with “npx dusklatch serve my-yard.yaml” and restore it there.`,
  'no-record': (folder) => `There is no record in ${folder} to take a backup of.`,
};
