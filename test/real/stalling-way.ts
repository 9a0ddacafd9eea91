import { connect, createServer, type Socket } from 'node:net';

/** Which way the bytes go, as the boards see it. */
export type Direction = 'to-boards' | 'from-boards' | 'both';

export interface StallingWay {
  readonly url: string;
  /** Takes no more bytes that way, and keeps every connection open: what comes waits at its sender. */
  stall(way: Direction): void;
  /** Lets all that waited through at once, however old it is, and goes on. */
  flush(): void;
  /** Swallows what comes that way from now on, and what waits, as a network does whose far side has gone. */
  swallow(way: Direction): void;
  close(): Promise<void>;
}

/** A way to a broker that stalls, floods and swallows: a proxy of TCP on the loopback. */
export async function stallingWay(busUrl: string): Promise<StallingWay> {
  const { hostname, port } = new URL(busUrl);
  const pairs = new Set<{ near: Socket; far: Socket }>();
  let stalled: Direction | null = null;
  let swallowed: Direction | null = null;
  const is = (state: Direction | null, way: Direction): boolean => state === 'both' || state === way;

  function carry(from: Socket, to: Socket, way: Direction): void {
    from.on('data', (bytes) => {
      if (is(swallowed, way)) return;
      to.write(bytes);
    });
    from.on('close', () => (is(swallowed, way) ? undefined : to.destroy()));
    from.on('error', () => {});
  }

  function settle(): void {
    for (const { near, far } of pairs) {
      // paused, its bytes wait in the network's buffers and the sender's
      if (is(stalled, 'from-boards')) near.pause();
      else near.resume();
      if (is(stalled, 'to-boards')) far.pause();
      else far.resume();
    }
  }

  const server = createServer((near) => {
    const far = connect(Number(port), hostname);
    const pair = { near, far };
    pairs.add(pair);
    carry(near, far, 'from-boards');
    carry(far, near, 'to-boards');
    near.on('close', () => pairs.delete(pair));
    settle();
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const address = server.address() as { port: number };

  return {
    url: `mqtt://127.0.0.1:${address.port}`,
    stall(way) {
      stalled = way;
      settle();
    },
    flush() {
      stalled = null;
      swallowed = null;
      settle();
    },
    swallow(way) {
      swallowed = way;
      stalled = null;
      settle();
    },
    async close() {
      for (const { near, far } of pairs) {
        near.destroy();
        far.destroy();
      }
      await new Promise((done) => server.close(done));
    },
  };
}
