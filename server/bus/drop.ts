/**
 * Why a message was not used, in kinds that a builder does different things about: it names what the yard file lacks,
 * it is not written as agreed, it is too large, the broker had kept it, or only this desk may say it. Every language has
 * a sentence for each (`mostDropped` of its notes).
 */
export type DropCode = 'unknown' | 'unreadable' | 'too-large' | 'kept' | 'barred';

export interface Drop {
  readonly code: DropCode;
  /** What exactly, in English: for the log. */
  readonly why: string;
  /** What it is about: of `unknown` the name that is not known. Left out, it is the message's topic. */
  readonly what?: string;
}

export const drop = (code: DropCode, why: string, what?: string): Drop =>
  what === undefined ? { code, why } : { code, why, what };
