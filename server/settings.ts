import { homedir } from 'node:os';
import { join } from 'node:path';
import { LANGUAGES, type Language } from './words/tongue.ts';
import { TONGUES } from './words/tongues.ts';

/** What `serve` is told, by flag or by environment. */
export interface ServeSettings {
  /** Null: the demonstration. */
  readonly file: string | null;
  readonly host: string;
  readonly port: number;
  /** Overrides the port of the file's `listen`; null leaves it. */
  readonly busPort: number | null;
  readonly dataDir: string;
  readonly keeperPin: string | null;
  /** Of the page, the record and the notices. */
  readonly language: Language;
  /** Further host names it answers to. */
  readonly names: readonly string[];
  /** Files of a certificate and its key, both PEM; null: plain http. */
  readonly tls: { readonly cert: string; readonly key: string } | null;
}

export const PORT = 10310;

/** The user's state folder by the XDG base directory rules; a relative XDG_STATE_HOME is to be ignored by them. */
export function stateFolder(env: NodeJS.ProcessEnv = process.env): string {
  const xdg = env.XDG_STATE_HOME;
  const base = xdg?.startsWith('/') ? xdg : join(homedir(), '.local', 'state');
  return join(base, 'dusklatch');
}

export interface ServeFlags {
  readonly host?: string;
  readonly port?: string;
  readonly busPort?: string;
  readonly data?: string;
  readonly keeperPin?: string;
  readonly names?: string;
  readonly language?: string;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
}

/** Thrown where a flag or variable makes no sense; `message` says which. */
export class SettingsError extends Error {}

/** Flags before environment before defaults. */
export function readSettings(
  file: string | null,
  flags: ServeFlags,
  env: NodeJS.ProcessEnv = process.env,
): ServeSettings {
  const of = (flag: string | undefined, name: string): string | null => flag ?? (env[name] || null);
  const demo = file === null;
  return {
    file,
    host: of(flags.host, 'DUSKLATCH_HOST') ?? (demo ? '127.0.0.1' : '0.0.0.0'),
    port: port(of(flags.port, 'DUSKLATCH_PORT'), 'DUSKLATCH_PORT') ?? PORT,
    busPort: port(of(flags.busPort, 'DUSKLATCH_BUS_PORT'), 'DUSKLATCH_BUS_PORT'),
    dataDir: of(flags.data, 'DUSKLATCH_DATA') ?? join(stateFolder(env), demo ? 'demonstration' : 'yard'),
    keeperPin: of(flags.keeperPin, 'DUSKLATCH_KEEPER_PIN'),
    tls: tlsOf(of(flags.tlsCert, 'DUSKLATCH_TLS_CERT'), of(flags.tlsKey, 'DUSKLATCH_TLS_KEY')),
    language: language(of(flags.language, 'DUSKLATCH_LANGUAGE')),
    names: (of(flags.names, 'DUSKLATCH_NAMES') ?? '').split(/[\s,]+/).filter((n) => n !== ''),
  };
}

function tlsOf(cert: string | null, key: string | null): ServeSettings['tls'] {
  if (cert === null && key === null) return null;
  if (cert === null || key === null)
    throw new SettingsError(
      `https needs a certificate and its key: ${cert === null ? 'DUSKLATCH_TLS_CERT' : 'DUSKLATCH_TLS_KEY'} is missing.`,
    );
  return { cert, key };
}

function language(text: string | null): Language {
  const found = LANGUAGES.find((one) => one === (text ?? LANGUAGES[0]));
  if (found) return found;
  const there = LANGUAGES.map((one) => `${one} (${TONGUES[one].called})`).join(', ');
  throw new SettingsError(
    `DUSKLATCH_LANGUAGE is '${text}', which is no language there is. There are: ${there}.`,
  );
}

function port(text: string | null, name: string): number | null {
  if (text === null) return null;
  const n = Number(text);
  if (!/^\d{1,5}$/.test(text) || n > 65535)
    throw new SettingsError(
      `${name} is '${text}', which is no port. Give a number from 0 to 65535; 0 takes any free one.`,
    );
  return n;
}
