import type { Picture } from '../server/picture.ts';
import { Back } from './back.ts';
import { BenchPress } from './bench-press.ts';
import type { Command, Commands, Outcome } from './commands.ts';
import type { YardPage } from './elements/yard-page.ts';
import type { Answers } from './first-answers.ts';
import { keepAs } from './keep-as.ts';
import { keepLight, keptLight, LIGHT_CHOICES, type LightChoice, levelOf } from './light.ts';
import { Looks } from './looks.ts';
import { pastHash, type Route, routeOf } from './route.ts';
import { SetUp } from './set-up.ts';
import type { Me, Store } from './store.ts';
import { phoneZone } from './time.ts';
import { type Demo, Tour } from './tour.ts';
import { lockoutsOf, unsureOf } from './view.ts';
import { words } from './words.ts';

/** Another visitor may jam or free too. */
const DEMO_EVERY_MS = 5000;

/** Carries what the store knows down into the frame, and what people ask up into commands. */
export class Page {
  readonly #frame: YardPage;
  readonly #store: Store;
  readonly #commands: Commands;
  readonly #bench: BenchPress;
  /** The `seq` that was on show when a held press began: a clear or a release holds for that and nothing newer. */
  #seen: number | undefined;
  #light: LightChoice = keptLight();
  #before = '#/yard';
  #demoAt = Number.NEGATIVE_INFINITY;
  #soon = false;
  readonly #tour = new Tour();
  readonly #setUp: SetUp;
  readonly #back: Back;
  readonly #looks: Looks;

  constructor(frame: YardPage, store: Store, commands: Commands) {
    this.#frame = frame;
    this.#store = store;
    this.#commands = commands;
    this.#setUp = new SetUp({
      read: (path) => commands.read(path),
      changed: () => this.show(),
      keep: ({ blob, name }) => keepAs(name, blob),
    });
    this.#back = new Back({
      read: (path) => commands.read(path),
      look: (path, withinMs) => commands.look(path, withinMs),
      changed: () => {
        frame.back = this.#back.state;
      },
    });
    this.#looks = new Looks({
      store,
      commands,
      back: this.#back,
      setUp: this.#setUp,
      route: () => frame.route,
      closed: (lines) => {
        frame.closed = lines;
      },
      changed: () => this.show(),
    });
    this.#bench = new BenchPress({
      send: (command, signal) => commands.send(command, undefined, signal),
      live: () => store.link() === 'live',
      changed: (refused) => {
        if (refused) frame.said = refused;
        this.show();
      },
    });
  }

  begin(): void {
    const on = <T>(name: string, act: (detail: T) => void) =>
      this.#frame.addEventListener(name, (event) => act((event as CustomEvent<T>).detail));
    on<Command>('command', (command) => void this.#do(command));
    on('press-began', () => {
      this.#seen = this.#store.picture?.seq;
    });
    on<{ prop: string; move: string }>('bench-hold', ({ prop, move }) => this.#bench.hold(prop, move));
    on('bench-let-go', () => this.#bench.letGo());
    on<LightChoice>('light', (choice) => this.#setLight(choice));
    on('next-light', () => {
      const next = (LIGHT_CHOICES.indexOf(this.#light) + 1) % LIGHT_CHOICES.length;
      this.#setLight(LIGHT_CHOICES[next]!);
    });
    on('said-read', () => {
      this.#frame.said = null;
    });
    on('want-plan', () => {
      void this.#looks.plan();
      void this.#looks.curves();
    });
    on<string>('want-sheet', (prop) => void this.#looks.sheet(prop));
    on<string>('want-earlier', (prop) => void this.#back.readEarlier(prop));
    on<string | null>('want-night', (night) => void this.#back.readNight(night));
    on<{ night: string | null; at: number | null }>('want-course', ({ night, at }) => {
      if (night !== null) void this.#back.readCourse(night, at);
      else if (at !== null) void this.#findNight(at);
    });
    on<number>('want-moment', (at) => this.#back.go(at));
    on('want-closed', () => void this.#looks.closed());
    on('want-join', () => {
      void this.#readJoin();
      void this.#setUp.readRedButton();
    });
    on('want-file', () => void this.#setUp.readFile());
    on<string | null>('file-draft', (text) => {
      this.#setUp.draft(text);
      if (text === null) void this.#setUp.readFile();
    });
    on('want-notices', () => void this.#setUp.readNotices());
    on('want-people', () => void this.#setUp.readPeople());
    on('want-strangers', () => void this.#setUp.readStrangers(phoneZone()));
    on<Answers>('first-file', (answers) => this.#setUp.answer(answers));
    on('first-file-done', () => void this.#makeFirst());
    on('tour-again', () => {
      this.#tour.want();
      this.show();
    });
    on('tour-over', () => {
      this.#tour.forget();
      this.show();
    });
    window.addEventListener('hashchange', (event) => this.#go(new URL(event.oldURL).hash));
    window.addEventListener('blur', () => this.#bench.letGo());
    window.addEventListener('pagehide', () => this.#bench.letGo());
    document.addEventListener('visibilitychange', () => {
      if (document.hidden) this.#bench.letGo();
      else void this.#readMe();
    });
    window.visualViewport?.addEventListener('resize', fitKeyboard);
    this.#frame.route = routeOf(location.hash);
    void this.#readMe();
    void this.#setUp.readRedButton();
    this.show();
  }

  /** Called four times a second. */
  tick(): void {
    this.show();
    const { picture } = this.#store;
    if (!picture || this.#store.link() !== 'live') return;
    if (picture.yard.demonstration) this.#guide(picture);
    this.#looks.tick();
  }

  /** Several changes within a frame are drawn once. A hidden page draws with its next tick. */
  showSoon(): void {
    if (this.#soon) return;
    this.#soon = true;
    requestAnimationFrame(() => this.show());
  }

  show(): void {
    this.#soon = false;
    const store = this.#store;
    const frame = this.#frame;
    const { picture } = store;
    const nowMs = store.shownMs();
    frame.link = store.link();
    frame.silentMs = store.silentMs();
    frame.light = this.#light;
    frame.setUp = this.#setUp.state;
    frame.view = picture && {
      picture,
      nowMs,
      link: frame.link,
      me: store.me,
      plan: store.plan,
      curves: store.curves,
      redButton: this.#setUp.redButton,
      tour: this.#tour.view(picture),
      bench: this.#bench.held,
      past: false,
    };
    const root = document.documentElement;
    root.dataset.link = frame.link;
    root.dataset.light = levelOf(this.#light, picture, store.deskNow());
    if (!picture) return;
    const troubles = lockoutsOf(picture).length + unsureOf(picture).length;
    const mode = words.modes[picture.mode];
    const title = words.title(picture.yard.title, frame.link === 'lost' ? words.was(mode) : mode, troubles);
    if (document.title !== title) document.title = title;
  }

  async #do(command: Command): Promise<void> {
    const seen = command.do === 'clear' || command.do === 'release' ? this.#seen : undefined;
    this.#seen = undefined;
    this.#setUp.begun(command);
    const outcome = await this.#commands.send(command, seen);
    this.#frame.said = outcome.ok ? null : outcome;
    if (outcome.ok) this.#done(command, outcome);
    else if (this.#setUp.refused(command, outcome)) this.#frame.said = null;
    // What keeps a file from being saved is shown in its place rather than above it.
    else if (command.do === 'save-file' && outcome.status === 422)
      void this.#do({ do: 'check-file', text: command.text });
    else if (outcome.status === 401 && command.do !== 'sign-in') this.#store.me = null;
    this.show();
  }

  #done(command: Command, outcome: Outcome & { ok: true }): void {
    if (command.do === 'sign-in') {
      this.#store.me = outcome.body as Me;
      location.hash = this.#before;
    }
    this.#setUp.done(command, outcome.body);
    if (command.do === 'sign-out') {
      this.#store.me = null;
      this.#setUp.forget();
    }
    if (command.do === 'demo-keeper') this.#store.me = outcome.body as Me;
    if (command.do === 'fault' && command.on) this.#tour.want();
    if (command.do === 'demo-reset') this.#tour.forget();
    if (command.do === 'fault' || command.do === 'demo-reset') void this.#readDemo();
  }

  #go(oldHash: string): void {
    this.#bench.letGo();
    const route: Route = routeOf(location.hash);
    if (route.screen === 'sign-in') this.#before = oldHash || '#/yard';
    this.#frame.said = null;
    this.#frame.route = route;
  }

  #setLight(choice: LightChoice): void {
    this.#light = choice;
    keepLight(choice);
    this.show();
  }

  async #readMe(): Promise<void> {
    this.#store.me = await this.#commands.read<Me>('/api/session');
    this.show();
  }

  /** The demonstration's tour: what it waits for is set off as soon as the desk has nothing against it. */
  #guide(picture: Picture): void {
    if (performance.now() - this.#demoAt > DEMO_EVERY_MS) void this.#readDemo();
    const scene = this.#tour.look(picture, performance.now());
    if (scene !== null) void this.#commands.send({ do: 'demo-run', scene });
  }

  async #readDemo(): Promise<void> {
    this.#demoAt = performance.now();
    const found = await this.#commands.read<Demo>('/api/demo');
    if (found) this.#tour.demo = found;
    this.show();
  }

  /** The file of what was answered is looked over and changed where every yard file is. */
  async #makeFirst(): Promise<void> {
    await this.#setUp.makeFirst(this.#store.picture?.yard.demonstration ?? false);
    location.hash = '#/setup/file';
  }

  /** The night of a moment takes the place of its address, so that the way back leads out. */
  async #findNight(at: number): Promise<void> {
    const night = await this.#back.nightOf(at);
    const { route } = this.#frame;
    if (route.screen !== 'past' || route.night !== null || route.at !== at) return;
    location.replace(night === null ? '#/nights' : pastHash(night, at));
  }

  async #readJoin(): Promise<void> {
    const found = await this.#commands.read<{ addresses: string[] }>('/api/join');
    this.#frame.addresses = found?.addresses ?? [];
  }
}

/** Where a keyboard lies over the page, the frame ends above it, so that the stop bar stays in sight. */
function fitKeyboard(): void {
  const view = window.visualViewport;
  if (!view || view.scale > 1) return;
  document.documentElement.style.setProperty('--view-height', `${view.height}px`);
  window.scrollTo(0, 0);
}
