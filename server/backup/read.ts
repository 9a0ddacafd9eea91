import { type UnzipFileInfo, unzipSync } from 'fflate';
import {
  BACKUP_FILES,
  BACKUP_FORMAT,
  type BackupFile,
  MANIFEST,
  MANIFEST_LIMIT_BYTES,
  type Manifest,
  manifestHead,
  manifestSchema,
  sumOf,
  WANTED,
  ZIP_LIMIT_BYTES,
} from './manifest.ts';
import { BackupRefused } from './refused.ts';

export interface ReadBackup {
  readonly manifest: Manifest;
  readonly files: ReadonlyMap<BackupFile, Uint8Array>;
}

/**
 * Reads a backup from the bytes of a zip that anyone may have made. Sizes are judged by the zip's directory before
 * anything is unpacked, and no more is unpacked than that said; then every file by its sum. Throws `BackupRefused`.
 */
export function readBackup(zip: Uint8Array): ReadBackup {
  if (zip.length > ZIP_LIMIT_BYTES) throw new BackupRefused('backup-too-large', 'This file');
  const names = directoryOf(zip);
  if (!names.has(MANIFEST)) throw new BackupRefused('no-backup');
  const manifest = manifestOf(unpack(zip, [MANIFEST]).get(MANIFEST));
  const listed = new Set<string>(manifest.files.map(({ name }) => name));
  for (const name of [...names].filter((n) => n !== MANIFEST))
    if (!listed.has(name)) throw new BackupRefused('strange-file', shown(name));
  if (listed.size !== manifest.files.length) throw new BackupRefused('no-backup');
  for (const name of WANTED) if (!listed.has(name)) throw new BackupRefused('file-missing', name);
  const bytes = unpack(zip, [...listed]);
  const files = new Map<BackupFile, Uint8Array>();
  for (const { name, bytes: length, sha256 } of manifest.files) {
    const found = bytes.get(name);
    if (!found) throw new BackupRefused('file-missing', name);
    if (found.length !== length || sumOf(found) !== sha256) throw new BackupRefused('wrong-sum', name);
    files.set(name, found);
  }
  return { manifest, files };
}

/** The names in the zip, each once, none of them larger than it may be. Nothing is unpacked. */
function directoryOf(zip: Uint8Array): Set<string> {
  const names = new Set<string>();
  look(zip, ({ name, originalSize }) => {
    if (names.has(name) || names.size > Object.keys(BACKUP_FILES).length)
      throw new BackupRefused('strange-file', shown(name));
    names.add(name);
    const limit = name === MANIFEST ? MANIFEST_LIMIT_BYTES : limitOf(name);
    if (limit === null) throw new BackupRefused('strange-file', shown(name));
    if (originalSize > limit) throw new BackupRefused('backup-too-large', shown(name));
    return false;
  });
  return names;
}

function limitOf(name: string): number | null {
  return Object.hasOwn(BACKUP_FILES, name) ? BACKUP_FILES[name as BackupFile] : null;
}

function unpack(zip: Uint8Array, names: readonly string[]): Map<string, Uint8Array> {
  return new Map(Object.entries(look(zip, ({ name }) => names.includes(name))));
}

/** What is no zip, is cut short or is packed in a way that nobody uses, is one thing to a person. */
function look(zip: Uint8Array, filter: (file: UnzipFileInfo) => boolean): Record<string, Uint8Array> {
  try {
    return unzipSync(zip, { filter });
  } catch (error) {
    if (error instanceof BackupRefused) throw error;
    throw new BackupRefused('no-zip');
  }
}

function manifestOf(bytes: Uint8Array | undefined): Manifest {
  let said: unknown;
  try {
    said = JSON.parse(Buffer.from(bytes ?? []).toString('utf8'));
  } catch {
    throw new BackupRefused('no-backup');
  }
  const head = manifestHead.safeParse(said);
  if (!head.success) throw new BackupRefused('no-backup');
  if (head.data.format > BACKUP_FORMAT) throw new BackupRefused('newer-backup', String(head.data.format));
  const manifest = manifestSchema.safeParse(said);
  if (!manifest.success) throw new BackupRefused('no-backup');
  return manifest.data;
}

/** A name out of a zip, as it may be told. */
function shown(name: string): string {
  const plain = name.replace(/\p{Cc}/gu, '?');
  return `“${plain.length > 60 ? `${plain.slice(0, 60)}…` : plain}”`;
}
