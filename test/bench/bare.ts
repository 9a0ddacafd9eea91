import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { freePort, until } from './rig.ts';

const BARE = fileURLToPath(new URL('../../../test/bench/bare.mjs', import.meta.url));

/** Bare node with the same libraries, as a process of its own. */
export interface Bare {
  readonly pid: number;
  readonly busUrl: string;
  /** ms from the command to `readyz`. */
  readonly readyMs: number;
  end(): Promise<void>;
}

export async function startBare(): Promise<Bare> {
  const [port, busPort] = [await freePort(), await freePort()];
  const begun = performance.now();
  const child = spawn(process.execPath, [BARE, String(port), String(busPort)], {
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  const orphan = (): void => void child.kill('SIGKILL');
  process.once('exit', orphan);
  await until('the bare node', async () => (await fetch(`http://127.0.0.1:${port}/readyz`)).ok);
  return {
    pid: child.pid!,
    busUrl: `mqtt://127.0.0.1:${busPort}`,
    readyMs: performance.now() - begun,
    async end() {
      process.off('exit', orphan);
      child.kill();
      if (child.exitCode === null && child.signalCode === null) await once(child, 'exit');
    },
  };
}
