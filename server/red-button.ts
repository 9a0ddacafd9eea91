import { join } from 'node:path';
import { z } from 'zod';
import { keepFile, readKept } from './api/kept-file.ts';

/** What people have said of the hard-wired red button: the emergency stop, which no computer is part of. */
export interface RedButtonSaid {
  where: string;
  /** What it cuts: motion power, air. */
  cuts: string;
  testedBy: string;
  /** `YYYY-MM-DD`, in the yard. */
  testedOn: string;
  /** Who wrote this down, and when (ms since 1970). */
  saidBy: string;
  saidAt: number;
}

export const redButtonSaid = z.strictObject({
  where: z.string(),
  cuts: z.string(),
  testedBy: z.string(),
  testedOn: z.string(),
  saidBy: z.string(),
  saidAt: z.number(),
}) satisfies z.ZodType<RedButtonSaid>;

/** The red button's record, kept in the data folder; shown where a stop is spoken of. */
export class RedButton {
  readonly #path: string;
  said: RedButtonSaid | null;

  private constructor(path: string, said: RedButtonSaid | null) {
    this.#path = path;
    this.said = said;
  }

  /** A record that can't be read is set aside, and asked for again. Throws what the disk says. */
  static async open(folder: string): Promise<RedButton> {
    const path = join(folder, 'red-button.json');
    const kept = await readKept(path, redButtonSaid);
    return new RedButton(path, kept.state === 'read' ? kept.value : null);
  }

  /** On disk first. Throws what the disk says. */
  async say(said: RedButtonSaid): Promise<void> {
    await keepFile(this.#path, said);
    this.said = said;
  }
}
