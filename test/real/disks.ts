import { spawnSync } from 'node:child_process';
import { closeSync, ftruncateSync, mkdirSync, openSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/*
 * Disks that fail. A full one and one that turns read-only are real mounts, which only root may make; a process whose
 * writes are all refused (by its limit on the size of files) can be had by anyone.
 */

function run(command: string, ...args: string[]): boolean {
  return spawnSync(command, args, { stdio: 'ignore' }).status === 0;
}

export interface Disk {
  /** Where it is mounted. */
  readonly at: string;
  unmount(): void;
}

const mounted = (at: string): Disk => ({ at, unmount: () => void run('umount', '-l', at) });

/** A disk in memory of so many KiB. Null where this machine lets nobody mount one. */
export function smallDisk(dir: string, kib: number): Disk | null {
  const at = join(dir, 'small');
  mkdirSync(at, { recursive: true });
  return run('mount', '-t', 'tmpfs', '-o', `size=${kib}k`, 'dusklatch-test', at) ? mounted(at) : null;
}

export interface DiskImage extends Disk {
  /** An error of the file system turns it read-only, as a worn-out card does. */
  wearOut(): void;
  /** Mounts it anew, whole again. */
  mend(): void;
}

/** A real file system of 16 MiB in a file. Null where this machine lets nobody mount one. */
export function diskImage(dir: string): DiskImage | null {
  const file = join(dir, 'image');
  const at = join(dir, 'card');
  mkdirSync(at, { recursive: true });
  const fd = openSync(file, 'w');
  ftruncateSync(fd, 16 * 1024 * 1024);
  closeSync(fd);
  if (!run('mkfs.ext4', '-q', '-F', '-e', 'remount-ro', file) || !run('mount', '-o', 'loop', file, at))
    return null;
  return {
    ...mounted(at),
    wearOut() {
      if (!run('mount', '-o', 'remount,abort', at) || !isReadOnly(at))
        throw new Error('the disk does not wear out');
    },
    mend() {
      run('umount', '-l', at);
      // lets go of the loop device, which the dead mount may still hold
      spawnSync('e2fsck', ['-y', file], { stdio: 'ignore' });
      if (!run('mount', '-o', 'loop', file, at)) throw new Error('the disk can not be mounted again');
    },
  };
}

function isReadOnly(at: string): boolean {
  const line = readFileSync('/proc/mounts', 'utf8')
    .split('\n')
    .find((l) => l.split(' ')[1] === at);
  return /(^|,)(ro|emergency_ro|shutdown)(,|$)/.test(line?.split(' ')[3] ?? '');
}

/** For node, so that its process gets an error where it writes past its limit, and not the signal that ends it. */
export const OUTLIVES_THE_LIMIT = ['--import', "data:text/javascript,process.on('SIGXFSZ',()=>{})"];

/**
 * Makes every write of a running process to a file fail (or lets it write again), by its limit on the size of files.
 * False where that can't be had here.
 */
export function refuseWrites(pid: number, refuse: boolean): boolean {
  return run('prlimit', '--pid', String(pid), `--fsize=${refuse ? '0' : 'unlimited'}:`);
}
