import { randomBytes, randomInt, type ScryptOptions, scrypt } from 'node:crypto';

/** How a folder's PINs are hashed. One salt for the folder: a PIN alone signs in, so one hash must do for all people. */
export interface PinCost {
  readonly N: number;
  readonly r: number;
  readonly p: number;
  readonly salt: string;
}

/** Memory is 128 · N · r bytes: 32 MiB here, about 0.1 s on a small computer. */
export const USUAL_COST = { N: 2 ** 15, r: 8, p: 1 } as const;

/** How many may wait behind the one that is hashed. */
const WAITING_AT_MOST = 4;
const HASH_BYTES = 32;

/** Thrown where a PIN can't be looked at now because others are before it. */
export class PinBusy extends Error {}

export function newCost(cost: Omit<PinCost, 'salt'> = USUAL_COST): PinCost {
  return { ...cost, salt: randomBytes(16).toString('base64url') };
}

/** Six digits, each number as likely as any other. */
export function newPin(): string {
  return String(randomInt(1_000_000)).padStart(6, '0');
}

/**
 * Hashes PINs one at a time. Hashing takes a thread of the pool that file and name look-ups share, and memory: a
 * flood of sign-ins may slow sign-ins, and nothing else.
 */
export class PinHash {
  readonly cost: PinCost;
  private last: Promise<unknown> = Promise.resolve();
  private waiting = 0;

  constructor(cost: PinCost) {
    this.cost = cost;
  }

  /** 32 bytes. Throws `PinBusy` at once where one is being hashed and four wait. */
  async hash(pin: string): Promise<Buffer> {
    if (this.waiting > WAITING_AT_MOST) throw new PinBusy();
    this.waiting += 1;
    const mine = this.last.then(() => hashPin(pin, this.cost));
    this.last = mine.catch(() => {});
    try {
      return await mine;
    } finally {
      this.waiting -= 1;
    }
  }
}

function hashPin(pin: string, cost: PinCost): Promise<Buffer> {
  const { N, r, p, salt } = cost;
  const options: ScryptOptions = { N, r, p, maxmem: 256 * N * r + 2 ** 20 };
  return new Promise((resolve, reject) => {
    scrypt(pin, Buffer.from(salt, 'base64url'), HASH_BYTES, options, (error, key) =>
      error ? reject(error) : resolve(key),
    );
  });
}
