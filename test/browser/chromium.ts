import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const PATH = '/usr/bin/chromium';

/** False where no browser is installed; with CI=true that is an error and not a reason to skip. */
export const haveBrowser = existsSync(PATH);
if (!haveBrowser) {
  if (process.env.CI === 'true') throw new Error(`no browser at ${PATH}: apt-get install chromium`);
  console.warn(`No browser at ${PATH}: the browser tests are SKIPPED. Install Chromium to run them.`);
}

export function launch(...more: string[]): Promise<Browser> {
  return chromium.launch({
    executablePath: PATH,
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      ...more,
    ],
  });
}

export const PHONE = { width: 390, height: 844 };
export const LAPTOP = { width: 1280, height: 800 };
