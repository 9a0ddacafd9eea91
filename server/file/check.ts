import { readFileSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import type { Yard } from '../yard/types.ts';
import type { YardError } from './errors.ts';
import { printRead } from './print.ts';
import { type Read, readYard } from './read.ts';
import { LARGEST_BYTES } from './yaml-shape.ts';

export interface Checked {
  /** For standard output. */
  readonly output: string;
  /** 0 well, 1 the yard has errors, 2 there is no such file. */
  readonly exitCode: 0 | 1 | 2;
  /** The yard that was read; null where there is an error. */
  readonly yard: Yard | null;
}

/** `dusklatch check FILE`. Never throws: a file that can't be read is said in `output`. */
export function checkFile(path: string, options: { json?: boolean } = {}): Checked {
  try {
    // Not opened at all if it is no yard file by its size: it may be a disk image.
    if (statSync(path).size > 4 * LARGEST_BYTES)
      return { ...printRead(tooLarge(statSync(path).size), '', path, options), yard: null };
    const bytes = readFileSync(path);
    const read = readYardBytes(bytes, basename(path));
    const printed = printRead(read, new TextDecoder().decode(bytes), path, options);
    return { ...printed, yard: read.ok ? read.yard : null };
  } catch (error) {
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    const why = missing ? 'there is no such file' : error instanceof Error ? error.message : String(error);
    const said = missing ? `There is no file ${path}.` : `${path} can't be read: ${why}`;
    return {
      output: options.json ? `${JSON.stringify({ file: path, ok: false, why: said })}\n` : `${said}\n`,
      exitCode: 2,
      yard: null,
    };
  }
}

/** Reads a yard file from its bytes: UTF-8, with or without a byte order mark. */
export function readYardBytes(bytes: Uint8Array, name?: string): Read {
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return { ok: false, errors: [notText(bytes)] };
  }
  return readYard(text, name);
}

function notText(bytes: Uint8Array): YardError {
  const utf16 = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const what = utf16 ? 'saved as UTF-16' : 'not text in UTF-8';
  const line = lineOfBadByte(bytes);
  return {
    line,
    column: 1,
    path: '',
    found: what,
    wanted: 'text in UTF-8',
    example: '',
    message: `Line ${line}: the file is ${what}. Save it again with the encoding UTF-8.`,
  };
}

/** The line up to whose end the bytes stop being UTF-8. */
function lineOfBadByte(bytes: Uint8Array): number {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let line = 1;
  let from = 0;
  for (let at = 0; at <= bytes.length; at += 1) {
    if (at < bytes.length && bytes[at] !== 0x0a) continue;
    try {
      decoder.decode(bytes.subarray(from, at));
    } catch {
      return line;
    }
    from = at + 1;
    line += 1;
  }
  return 1;
}

function tooLarge(size: number): Read {
  const mib = `${(size / LARGEST_BYTES).toFixed(0)} MiB`;
  const message = `Line 1: the file has ${mib}; a yard file has 1 MiB at most. Is this the right file?`;
  return {
    ok: false,
    errors: [
      { line: 1, column: 1, path: '', found: mib, wanted: 'a file of at most 1 MiB', example: '', message },
    ],
  };
}
