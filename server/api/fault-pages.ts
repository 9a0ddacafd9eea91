import { createHash } from 'node:crypto';
import express, { type Response, type Router } from 'express';
import {
  FAULT_PAGES_PATH,
  faultIndex,
  faultPage,
  isFaultCode,
  PAGE_STYLE,
  type Page,
} from '../words/pages.ts';
import type { Tongue } from '../words/tongue.ts';

/** Their one style sheet by its hash, and a form for the stop; no script and nothing from elsewhere. */
const POLICY = [
  "default-src 'none'",
  `style-src 'sha256-${createHash('sha256').update(PAGE_STYLE).digest('base64')}'`,
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join(';');

/** The pages that say what each fault means: the index and one a code, for anyone. An unknown code is passed on. */
export function faultPages(tongue: Tongue): Router {
  const router = express.Router({ strict: true });
  router.get(FAULT_PAGES_PATH.slice(0, -1), (_req, res) => res.redirect(308, FAULT_PAGES_PATH));
  router.get(FAULT_PAGES_PATH, (_req, res) => show(res, faultIndex(tongue)));
  router.get(`${FAULT_PAGES_PATH}:code`, (req, res, next) => {
    const { code } = req.params;
    if (isFaultCode(code)) show(res, faultPage(code, tongue));
    else next();
  });
  return router;
}

function show(res: Response, page: Page): void {
  res.setHeader('Content-Security-Policy', POLICY);
  // they change only with the program, but a phone must not keep an old program's words
  res.setHeader('Cache-Control', 'no-cache');
  res.type('html').send(page.html);
}
