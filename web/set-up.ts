import type { BackupTold } from '../server/backup/stage.ts';
import type { StrangerBoard } from '../server/bus/strangers.ts';
import type { NoticesTold } from '../server/notices/notices.ts';
import type { RedButtonSaid } from '../server/red-button.ts';
import type { CheckedFile, FileTold, Saved } from '../server/yard-file.ts';
import type { Came, Command, Outcome } from './commands.ts';
import { type Answers, blankAnswers } from './first-answers.ts';
import { joined, type Taught, teach } from './first-boards.ts';
import { busOf, firstFile, OPEN_BUS } from './first-file.ts';

/** Someone who may sign in. */
export interface Listed {
  readonly name: string;
  readonly role: 'keeper' | 'helper';
}

/** What the page knows of the yard file, and of the last text that was looked at. */
export interface FileState {
  readonly told: FileTold;
  /** The last text that was checked, and what was found. */
  readonly checked: { readonly text: string; readonly found: CheckedFile } | null;
  readonly saved: boolean;
}

/** What was typed into the file and not yet saved, and the hash of the text that it began from. */
export interface Draft {
  readonly text: string;
  readonly base: string;
}

/** A backup being taken, read, told of, or restored. */
export interface BackupState {
  readonly busy: 'taking' | 'reading' | 'restoring' | null;
  readonly told: BackupTold | null;
  /** Why the last one was not taken, read or restored. */
  readonly refused: string | null;
  /** Restored: where what was there before is kept. */
  readonly kept: string | null;
}

/** A first file in the making: what was answered, and what the boards on the bus say. Nothing of it is saved. */
export interface FirstState {
  readonly answers: Answers;
  /** Null while not read. */
  readonly boards: readonly StrangerBoard[] | null;
  readonly taught: ReadonlyMap<string, Taught>;
}

const NO_BACKUP: BackupState = { busy: null, told: null, refused: null, kept: null };

/** What the set-up screens show; each part is null while it has not been read. */
export interface SetUpState {
  readonly file: FileState | null;
  /** Outlives a look at another screen. */
  readonly draft: Draft | null;
  readonly people: readonly Listed[] | null;
  /** The name of whose PIN was changed last on this page. */
  readonly pinOf: string | null;
  readonly backup: BackupState;
  readonly first: FirstState | null;
  /** Where notices go, and what became of the last; null while not read. */
  readonly notices: NoticesTold | null;
}

export const NOTHING_READ: SetUpState = {
  file: null,
  draft: null,
  people: null,
  pinOf: null,
  backup: NO_BACKUP,
  first: null,
  notices: null,
};

export interface SetUpParts {
  readonly read: <T>(path: string) => Promise<T | null>;
  readonly changed: () => void;
  /** Lets the person keep a file that came. */
  readonly keep: (came: Came) => void;
}

/** Keeps what the set-up screens show, and takes in what became of their commands. */
export class SetUp {
  state: SetUpState = NOTHING_READ;
  /** Where the red button is; undefined while not read, null where nobody has said. */
  redButton: RedButtonSaid | null | undefined;
  readonly #parts: SetUpParts;

  constructor(parts: SetUpParts) {
    this.#parts = parts;
  }

  async readFile(): Promise<void> {
    const told = await this.#parts.read<FileTold>('/api/file');
    this.#set({ file: told && { told, checked: null, saved: false } });
  }

  /** A file that was saved and waits may run by now. What was found in a text and typed stays. */
  async lookAtFile(): Promise<void> {
    const told = await this.#parts.read<FileTold>('/api/file');
    const { file } = this.state;
    if (told && file && told.hash === file.told.hash) this.#set({ file: { ...file, told } });
  }

  /** Typed, or thrown away. A draft keeps the base it began from, so that a save over another's changes is refused. */
  draft(text: string | null): void {
    const { draft, file } = this.state;
    if (text === null) return this.#set({ draft: null });
    if (file) this.#set({ draft: { text, base: draft?.base ?? file.told.hash } });
  }

  /** Who speaks on the bus and is in no file: joined to what has been answered. */
  async readStrangers(timezone: string): Promise<void> {
    const found = await this.#parts.read<{ boards: StrangerBoard[] }>('/api/strangers');
    const first = this.state.first ?? { answers: blankAnswers(timezone), boards: null, taught: new Map() };
    if (!found) return this.#set({ first });
    const taught = teach(first.taught, found.boards);
    this.#set({
      first: { answers: joined(first.answers, found.boards, taught), boards: found.boards, taught },
    });
  }

  answer(answers: Answers): void {
    const { first } = this.state;
    if (first) this.#set({ first: { ...first, answers } });
  }

  /** The file of what was answered, as something typed and not yet saved. */
  async makeFirst(demonstration: boolean): Promise<void> {
    if (!this.state.file) await this.readFile();
    const { first, file } = this.state;
    if (!first || !file) return;
    const bus = demonstration ? OPEN_BUS : busOf(file.told.text);
    this.#set({ draft: { text: firstFile(first.answers, { bus }), base: file.told.hash } });
  }

  async readNotices(): Promise<void> {
    this.#set({ notices: await this.#parts.read<NoticesTold>('/api/notices') });
  }

  async readPeople(): Promise<void> {
    const found = await this.#parts.read<{ people: Listed[] }>('/api/people');
    this.#set({ people: found?.people ?? null });
  }

  async readRedButton(): Promise<void> {
    const found = await this.#parts.read<{ said: RedButtonSaid | null }>('/api/red-button');
    if (found) this.redButton = found.said;
    this.#parts.changed();
  }

  /** Who signs out takes what only a keeper may read along. */
  forget(): void {
    this.state = NOTHING_READ;
  }

  /** A command that takes its time is on its way. */
  begun(command: Command): void {
    const busy = BUSY.get(command.do);
    if (busy)
      this.#set({ backup: { ...NO_BACKUP, told: busy === 'reading' ? null : this.state.backup.told, busy } });
  }

  /** A command was refused; true where these screens say so in its place. */
  refused(command: Command, outcome: Outcome & { ok: false }): boolean {
    // what came of it stands in the list too
    if (command.do === 'try-notices') void this.readNotices();
    if (!BUSY.has(command.do)) return false;
    const refused = outcome.reasons.length > 0 ? outcome.reasons.join(' ') : outcome.detail;
    this.#set({ backup: { ...this.state.backup, busy: null, refused } });
    return true;
  }

  /** A command of these screens was done, and `body` came back. */
  done(command: Command, body: unknown): void {
    const { file } = this.state;
    if (command.do === 'check-file' && file)
      this.#set({
        file: { ...file, checked: { text: command.text, found: body as CheckedFile }, saved: false },
      });
    if (command.do === 'save-file' && file) {
      const { hash, runs, waits } = body as Extract<Saved, { kind: 'saved' }>;
      const told = { ...file.told, text: command.text, hash, runs, waits };
      this.#set({ file: { told, checked: null, saved: true }, draft: null });
    }
    if (command.do === 'add-person' || command.do === 'remove-person')
      this.#set({ people: (body as { people: Listed[] }).people });
    if (command.do === 'set-notices' || command.do === 'try-notices')
      this.#set({ notices: body as NoticesTold });
    if (command.do === 'set-pin') this.#set({ pinOf: command.name });
    if (command.do === 'take-backup') {
      this.#parts.keep(body as Came);
      this.#set({ backup: NO_BACKUP });
    }
    if (command.do === 'read-backup') this.#set({ backup: { ...NO_BACKUP, told: body as BackupTold } });
    if (command.do === 'restore')
      this.#set({ backup: { ...NO_BACKUP, kept: (body as { kept: string }).kept } });
    if (command.do === 'red-button') this.redButton = (body as { said: RedButtonSaid }).said;
  }

  #set(part: Partial<SetUpState>): void {
    this.state = { ...this.state, ...part };
    this.#parts.changed();
  }
}

const BUSY: ReadonlyMap<Command['do'], BackupState['busy']> = new Map([
  ['take-backup', 'taking'],
  ['read-backup', 'reading'],
  ['restore', 'restoring'],
]);
