import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';

const OPENSSL = '/usr/bin/openssl';

/** False where no openssl is installed; with CI=true that is an error and not a reason to skip. */
export const haveOpenssl = existsSync(OPENSSL);
if (!haveOpenssl && process.env.CI === 'true') throw new Error(`no ${OPENSSL}: apt-get install openssl`);
if (!haveOpenssl) console.warn(`No ${OPENSSL}: the tests of https are SKIPPED.`);

/** A certificate of 127.0.0.1 for two days, known to nobody: the paths of it and of its key in a folder. */
export function certificateIn(folder: string): { cert: string; key: string } {
  const [cert, key] = [join(folder, 'cert.pem'), join(folder, 'key.pem')];
  const kind = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes', '-days', '2'];
  const subject = ['-subj', '/CN=127.0.0.1', '-addext', 'subjectAltName=IP:127.0.0.1'];
  execFileSync(OPENSSL, ['req', '-x509', ...kind, ...subject, '-keyout', key, '-out', cert], {
    stdio: 'ignore',
  });
  return { cert, key };
}
