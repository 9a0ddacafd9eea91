import { Commands } from './commands.ts';
import './elements/stop-bar.ts';
import type { StopBar } from './elements/stop-bar.ts';
import { YardPage } from './elements/yard-page.ts';
import { openFeed } from './feed.ts';
import { keepPage } from './install.ts';
import { Page } from './page.ts';
import { followPinch } from './pinch.ts';
import { stopSay } from './stop-roll.ts';
import { Stopping } from './stopping.ts';
import { Store } from './store.ts';
import { watchWake } from './wake.ts';
import { speak, words } from './words.ts';

const store = new Store(() => performance.now());

// The stop first, and by itself: whatever breaks below, it stands.
const stopBar = document.querySelector<StopBar>('stop-bar')!;
const stopping = new Stopping({
  fetch: (...args) => fetch(...args),
  beacon: (path) => navigator.sendBeacon(path),
  form: () => stopBar.post(),
  live: () => store.link() === 'live',
  latched: () => store.picture?.stop.latched ?? false,
  changed: showStop,
});
stopBar.onStop = () => stopping.press();
followPinch(stopBar);

let page: Page | null = null;

function showStop(): void {
  // until it knows its language the document's own words stand, which are right; a press is answered in any case
  if (!page && stopping.state === 'none') return;
  stopBar.say = stopSay(words, store.picture, store.link(), stopping.state, store.deskNow());
}

const feed = openFeed(store);
let latched = false;
store.subscribe(() => {
  const now = store.picture?.stop.latched ?? false;
  if (latched && !now) stopping.forget();
  latched = now;
  showStop();
  page?.showSoon();
});
watchWake({
  tick() {
    feed.tick();
    showStop();
    page?.tick();
  },
  woke: () => store.doubt(),
});
void speak(document.documentElement.lang).then(() => {
  document.documentElement.lang = words.lang;
  stopBar.label = words.stop.label;
  customElements.define('yard-page', YardPage);
  page = new Page(document.querySelector<YardPage>('yard-page')!, store, new Commands(store));
  page.begin();
  showStop();
});
keepPage();
