import { peopleFileSchema } from '../api/people.ts';

/** How many people a list has; 0 where there is none or it can't be read. */
export function peopleIn(bytes: Uint8Array | null): number {
  const list = bytes === null ? null : listOf(bytes);
  return list?.length ?? 0;
}

/** The people of a list as it lies in the data folder; null where it is none. */
export function listOf(bytes: Uint8Array): readonly { name: string; role: 'keeper' | 'helper' }[] | null {
  try {
    const parsed = peopleFileSchema.safeParse(JSON.parse(Buffer.from(bytes).toString('utf8')));
    return parsed.success ? parsed.data.people : null;
  } catch {
    return null;
  }
}
