import express, { type Request, type Response } from 'express';
import { problem } from './problem.ts';

export const BODY_LIMIT_BYTES = 64 * 1024;

const parserOf = (limit: number) => express.json({ limit, inflate: false, strict: true });
const parser = parserOf(BODY_LIMIT_BYTES);

/**
 * The JSON object or list that a request carries. Called only once it is known who asks: a stranger's body is not
 * read. Packed bodies are not taken, since a small one can unpack to any size. Throws the problem to tell.
 */
export async function readJson(req: Request, res: Response, limitBytes = BODY_LIMIT_BYTES): Promise<unknown> {
  const has = req.headers['transfer-encoding'] !== undefined || Number(req.headers['content-length']) > 0;
  if (!has) throw problem(422, 'no-body');
  if (!req.is('application/json')) throw problem(422, 'not-json');
  await new Promise<void>((resolve, reject) => {
    const parse = limitBytes === BODY_LIMIT_BYTES ? parser : parserOf(limitBytes);
    parse(req, res, (error?: unknown) => (error ? reject(bodyProblem(error, limitBytes)) : resolve()));
  });
  return req.body;
}

/** The bytes that a request carries, of one type. Called only once it is known who asks. Throws the problem to tell. */
export async function readRaw(
  req: Request,
  res: Response,
  { type, bytes }: { type: string; bytes: number },
): Promise<Buffer> {
  const has = req.headers['transfer-encoding'] !== undefined || Number(req.headers['content-length']) > 0;
  if (!has) throw problem(422, 'no-body');
  if (!req.is(type)) throw problem(422, 'not-zip');
  const parse = express.raw({ limit: bytes, inflate: false, type });
  await new Promise<void>((resolve, reject) => {
    parse(req, res, (error?: unknown) => {
      if (!error) return resolve();
      const tooLarge = (error as { type?: unknown }).type === 'entity.too.large';
      reject(tooLarge ? problem(413, 'zip-too-large') : problem(422, 'broken-request'));
    });
  });
  return req.body;
}

function bodyProblem(error: unknown, limitBytes: number) {
  const type = (error as { type?: unknown }).type;
  if (type === 'entity.too.large')
    return problem(413, limitBytes === BODY_LIMIT_BYTES ? 'too-large' : 'file-too-large');
  return problem(422, type === 'entity.parse.failed' ? 'broken-json' : 'broken-request');
}
