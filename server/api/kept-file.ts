import { readFile, rename } from 'node:fs/promises';
import writeFileAtomic from 'write-file-atomic';
import type { z } from 'zod';

export type Kept<T> = { state: 'read'; value: T } | { state: 'none' } | { state: 'set-aside'; as: string };

/**
 * Reads a small JSON file. One that is there but is not what it should be is renamed, not overwritten: nothing is
 * lost, and the daemon starts. Throws where the disk refuses.
 */
export async function readKept<T>(path: string, schema: z.ZodType<T>): Promise<Kept<T>> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { state: 'none' };
    throw error;
  }
  const parsed = schema.safeParse(jsonOf(text));
  if (parsed.success) return { state: 'read', value: parsed.data };
  const as = `${path}.unreadable`;
  await rename(path, as);
  return { state: 'set-aside', as };
}

/** Writes it whole or not at all, for its owner's eyes only. */
export async function keepFile(path: string, value: unknown): Promise<void> {
  await writeFileAtomic(path, `${JSON.stringify(value, null, 2)}\n`, { mode: 0o600 });
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
