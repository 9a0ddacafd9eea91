/*
 * Keeps the page itself, so that it opens also when the yard is out of reach, and then says so. It never keeps what the
 * yard looks like and never a command: nothing below /api, nothing of the feed, and nothing that is sent passes here. A stop
 * goes straight to the network, as if this were not there.
 */
const PAGE = 'dusklatch-page';

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));
self.addEventListener('fetch', (event) => {
  const { method, mode, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== 'GET' || origin !== self.location.origin) return;
  if (mode === 'navigate' && pathname === '/') event.respondWith(page(event.request));
  else if (pathname.startsWith('/assets/')) event.respondWith(asset(event.request));
});

/** The newest page there is; the kept one where the yard does not answer. */
async function page(request) {
  const kept = await caches.open(PAGE);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await keep(kept, answer.clone());
    return answer;
  } catch (error) {
    const before = await kept.match('/');
    if (before) return before;
    throw error;
  }
}

/** A page of another build has other parts: those of the one before go. */
async function keep(kept, answer) {
  const before = await kept.match('/');
  const text = await answer.clone().text();
  if (before && (await before.text()) !== text)
    for (const request of await kept.keys()) await kept.delete(request);
  await kept.put('/', answer);
}

/** Parts are named by their content: one that is there never changes. */
async function asset(request) {
  const kept = await caches.open(PAGE);
  const before = await kept.match(request);
  if (before) return before;
  const answer = await fetch(request);
  if (answer.ok) await kept.put(request, answer.clone());
  return answer;
}
