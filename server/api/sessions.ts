import { createHash, randomBytes } from 'node:crypto';
import { join } from 'node:path';
import { z } from 'zod';
import { keepFile, readKept } from './kept-file.ts';

/** One night and the morning after it. */
export const SESSION_MS = 16 * 3_600_000;
const SESSIONS_AT_MOST = 100;

const sessionSchema = z.strictObject({ hash: z.string(), name: z.string(), until: z.number() });
const fileSchema = z.strictObject({ version: z.literal(1), sessions: z.array(sessionSchema) });

type Session = z.infer<typeof sessionSchema>;

/**
 * Who is signed in. Tokens are known by their hash only, in memory and on disk, so that the file gives nobody a
 * session; they are on disk so that a keeper who was signed in can clear a stop after the computer has restarted.
 */
export class Sessions {
  private readonly path: string;
  private readonly clock: () => number;
  private readonly failed: (error: unknown) => void;
  private byHash = new Map<string, Session>();

  /** `clock` is wall time in ms; `failed` hears of a disk that refused, which costs a restart's memory and no more. */
  constructor(folder: string, clock: () => number, failed: (error: unknown) => void) {
    this.path = join(folder, 'sessions.json');
    this.clock = clock;
    this.failed = failed;
  }

  /** Takes up what an earlier start left. A file that can't be read signs everyone out. */
  async read(): Promise<void> {
    const kept = await readKept(this.path, fileSchema);
    if (kept.state !== 'read') return;
    for (const session of kept.value.sessions.slice(-SESSIONS_AT_MOST))
      this.byHash.set(session.hash, session);
  }

  /** Signs someone in. The token (256 bits, base64url) is told once. */
  async begin(name: string): Promise<{ token: string; until: number }> {
    const token = randomBytes(32).toString('base64url');
    const until = this.clock() + SESSION_MS;
    const hash = hashOf(token);
    this.dropOld();
    this.byHash.set(hash, { hash, name, until });
    await this.keep();
    return { token, until };
  }

  /** Whose token this is; null where it is unknown or has run out. */
  find(token: string): { name: string; until: number } | null {
    const found = this.byHash.get(hashOf(token));
    return found && found.until > this.clock() ? found : null;
  }

  async end(token: string): Promise<void> {
    if (this.byHash.delete(hashOf(token))) await this.keep();
  }

  /** Signs a person out everywhere, but for the phone that asks. */
  async endAllOf(name: string, butToken: string | null = null): Promise<void> {
    const spared = butToken === null ? null : hashOf(butToken);
    for (const [hash, session] of this.byHash) {
      if (session.name === name && hash !== spared) this.byHash.delete(hash);
    }
    await this.keep();
  }

  private dropOld(): void {
    const now = this.clock();
    for (const [hash, session] of this.byHash) {
      if (session.until <= now || this.byHash.size >= SESSIONS_AT_MOST) this.byHash.delete(hash);
    }
  }

  private async keep(): Promise<void> {
    try {
      await keepFile(this.path, { version: 1, sessions: [...this.byHash.values()] });
    } catch (error) {
      this.failed(error);
    }
  }
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('base64url');
}
