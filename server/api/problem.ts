import type { Language } from '../words/tongue.ts';
import { SENTENCES, type SentenceCode } from './sentences.ts';
import { GERMAN, GERMAN_TITLES } from './sentences-de.ts';

/** One reason against a request: a code for programs, a sentence for people. */
export interface Why {
  readonly code: string;
  readonly sentence: string;
}

/** Status phrases of RFC 9110 section 15 and, for 429, RFC 6585 section 4. Node's own list still has two older ones. */
const PHRASES = {
  400: 'Bad Request',
  401: 'Unauthorized',
  403: 'Forbidden',
  404: 'Not Found',
  405: 'Method Not Allowed',
  409: 'Conflict',
  413: 'Content Too Large',
  421: 'Misdirected Request',
  422: 'Unprocessable Content',
  429: 'Too Many Requests',
  500: 'Internal Server Error',
  503: 'Service Unavailable',
} as const;

export type ProblemStatus = keyof typeof PHRASES;

/** What the api says itself, by language: its own sentences, and what heads a plain page. */
const SAID: Readonly<
  Record<
    Language,
    {
      readonly sentences: Readonly<Record<SentenceCode, string>>;
      readonly titles: Readonly<Record<ProblemStatus, string>>;
    }
  >
> = { en: { sentences: SENTENCES, titles: PHRASES }, de: { sentences: GERMAN, titles: GERMAN_TITLES } };

/** Problem details as RFC 9457 has them. The type is about:blank throughout: what tells them apart is the code of each reason. */
export interface ProblemBody {
  type: 'about:blank';
  title: string;
  status: number;
  detail: string;
  reasons: Why[];
}

export const PROBLEM_TYPE = 'application/problem+json';

/** A refusal on its way out. Thrown by whatever answers a call; told to the caller at one place. */
export class Problem extends Error {
  readonly status: ProblemStatus;
  readonly reasons: readonly Why[];
  readonly headers: Readonly<Record<string, string>>;
  /** Where its one reason is the api's own: said in the language of whoever answers. */
  readonly own: SentenceCode | null;

  /** `reasons` is not empty; they are said in the order given. */
  constructor(
    status: ProblemStatus,
    reasons: readonly Why[],
    headers: Readonly<Record<string, string>> = {},
    own: SentenceCode | null = null,
  ) {
    super(reasons.map((r) => r.sentence).join(' '));
    this.status = status;
    this.reasons = reasons;
    this.headers = headers;
    this.own = own;
  }

  /** What heads a page that says it. */
  title(language: Language): string {
    return SAID[language].titles[this.status];
  }

  /** The sentences, in the order of the reasons. */
  sentences(language: Language): string[] {
    return this.own ? [SAID[language].sentences[this.own]] : this.reasons.map((r) => r.sentence);
  }

  /** `title` is the standard's own phrase in every language: programs read it. */
  body(language: Language = 'en'): ProblemBody {
    const said = this.sentences(language);
    return {
      type: 'about:blank',
      title: PHRASES[this.status],
      status: this.status,
      detail: said.join(' '),
      reasons: this.reasons.map(({ code }, i) => ({ code, sentence: said[i]! })),
    };
  }
}

/** A problem with one of the api's own sentences. */
export function problem(
  status: ProblemStatus,
  code: SentenceCode,
  headers: Readonly<Record<string, string>> = {},
): Problem {
  return new Problem(status, [{ code, sentence: SENTENCES[code] }], headers, code);
}

/** RFC 9110 section 15.5.2 wants a challenge with every 401; no browser opens a box for this scheme. */
export function notSignedIn(code: 'not-signed-in' | 'wrong-pin' | 'wrong-pin-barred'): Problem {
  return problem(401, code, { 'WWW-Authenticate': 'Session realm="yard"' });
}
