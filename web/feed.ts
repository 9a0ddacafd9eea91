import { io } from 'socket.io-client';
import type { Beat, FeedChange } from '../server/api/feed-words.ts';
import type { Picture } from '../server/picture.ts';
import { within } from './deadline.ts';
import { LOST_AFTER_MS } from './link.ts';
import type { Store } from './store.ts';

const ASK_WITHIN_MS = 3000;
const ASK_AGAIN_MS = 1000;

/**
 * Brings pictures, changes and beats from the desk into the store. Nothing is ever sent by the socket: it would keep
 * what it can't send and deliver it late. A whole picture is asked for by HTTP.
 */
export function openFeed(store: Store): { tick(): void } {
  const socket = io({
    transports: ['websocket', 'polling'],
    reconnectionDelay: 400,
    reconnectionDelayMax: 1500,
  });
  let asking: AbortController | null = null;
  let renewedAt = performance.now();

  async function ask(): Promise<void> {
    // An answer to an earlier question may have been drawn before we slept: it is not waited for.
    asking?.abort();
    const mine = new AbortController();
    asking = mine;
    try {
      const answer = await fetch('/api/yard', {
        cache: 'no-store',
        signal: within(ASK_WITHIN_MS, mine.signal),
      });
      if (!answer.ok) throw new Error(`GET /api/yard: ${answer.status}`);
      const picture = (await answer.json()) as Picture;
      if (asking === mine) store.take(picture, 'asked');
    } catch {
      if (asking === mine) setTimeout(() => asking === mine && void ask(), ASK_AGAIN_MS);
      return;
    }
    if (asking === mine) asking = null;
  }

  store.onWant = () => void ask();
  // Does not wait for the socket to be set up: the first picture is there sooner.
  void ask();
  // Where the desk itself let us go, the library does not come back by itself.
  const comeBack = () => {
    if (!socket.active) setTimeout(() => socket.connect(), ASK_AGAIN_MS);
  };
  socket.on('disconnect', comeBack);
  socket.on('connect_error', comeBack);
  socket.on('picture', (picture: Picture) => store.take(picture, 'joined'));
  socket.on('change', (change: FeedChange) => store.change(change));
  socket.on('beat', (beat: Beat) => store.beat(beat));

  return {
    /** A socket can look open for half a minute after the radio is gone: without a beat it is opened anew. */
    tick() {
      const now = performance.now();
      if (store.link() !== 'lost' || now - renewedAt < 2 * LOST_AFTER_MS) return;
      renewedAt = now;
      if (socket.connected) socket.disconnect().connect();
    },
  };
}
