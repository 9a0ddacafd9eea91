import { randomBytes } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { Registry } from 'prom-client';
import { type Api, startApi } from './api/http.ts';
import { People } from './api/people.ts';
import { Backups } from './backup/backups.ts';
import { markFolder } from './backup/demonstration.ts';
import { sumOf } from './backup/manifest.ts';
import { takeRestored } from './backup/restored.ts';
import { asyncApi } from './bus/asyncapi.ts';
import { type Bus, openBus } from './bus/client.ts';
import { nightAt, preparedNight } from './calendar/find.ts';
import { tzCheck } from './calendar/tz.ts';
import { CalendarWatch } from './calendar-watch.ts';
import { realClock } from './clock.ts';
import { demoNight, type Standins, startStandins } from './demo.ts';
import { Desk } from './desk.ts';
import { Door } from './door.ts';
import { openFolder } from './journal/folder.ts';
import { openNumbers } from './journal/numbers.ts';
import { openJournal } from './journal/sqlite.ts';
import { LiveYard } from './live-yard.ts';
import { countDesk } from './metrics.ts';
import { Notices } from './notices/notices.ts';
import { postJson } from './notices/post.ts';
import { Past } from './past/past.ts';
import { PlanKeeper } from './plan-keeper.ts';
import { RedButton } from './red-button.ts';
import { restoreShow } from './restore.ts';
import {
  anyMoving,
  brokerOf,
  dropNotes,
  type Log,
  lateBus,
  readyOf,
  tlsAt,
  waitingNotes,
  yardAt,
} from './serve-parts.ts';
import type { ServeSettings } from './settings.ts';
import { isByHand } from './show/show.ts';
import { takeEpoch } from './take-epoch.ts';
import { TONGUES } from './words/tongues.ts';
import { tellEntry } from './words-of.ts';
import type { Yard } from './yard/types.ts';
import { YardFile } from './yard-file.ts';

/** The demonstration's yard, as it lies beside the built daemon. */
export const DEMO_FILE = fileURLToPath(new URL('../../config/saltmarsh.yaml', import.meta.url));
export const VERSION = '0.1.0';
/** Events older than this are dropped at a start; lines and snapshots stay. */
const EVENTS_KEPT_MS = 60 * 86_400_000;
const WEB_DIR = fileURLToPath(new URL('../web', import.meta.url));

export interface Served {
  readonly yard: Yard;
  readonly url: string;
  readonly addresses: readonly string[];
  readonly busUrl: string;
  /** Resolves once it drives the yard: the bus is there and the epoch taken. */
  readonly driving: Promise<void>;
  /** Whether any board is heard now. */
  boardHeard(): boolean;
  close(): Promise<void>;
}

/**
 * The daemon, wired: names every part, starts them in order, stops them in the reverse. The page and the stop answer
 * before the bus is there; nothing moves before the epoch is on disk. A keeper's PIN that was made is told at once: it
 * holds from then on, even where the start then fails, and only its hash is kept.
 */
export async function serve(
  settings: ServeSettings,
  log: Log,
  onBreach: (text: string) => void,
  onRestart: () => void = () => {},
  onMadePin: (pin: string) => void = () => {},
): Promise<Served> {
  takeRestored(settings.dataDir, log);
  // the page and the record; what the terminal and the log say is English
  const tongue = TONGUES[settings.language];
  const { notes } = tongue;
  const demo = settings.file === null;
  const path = settings.file ?? DEMO_FILE;
  const { text, yard } = await yardAt(path, settings);
  const yardHash = sumOf(text);
  const tls = settings.tls && tlsAt(settings.tls);
  const folder = openFolder(settings.dataDir);
  markFolder(settings.dataDir, demo);
  const numbers = openNumbers(settings.dataDir);
  const journal = openJournal(settings.dataDir);
  journal.keepYard(yardHash, text);
  const show = restoreShow(journal, yard, yardHash);
  journal.prune(Date.now() - EVENTS_KEPT_MS);
  const clock = realClock(show.at, show.offsetMs);
  const word = randomBytes(4).toString('hex');
  const { people, madePin } = await People.open({
    folder: settings.dataDir,
    keeperPin: settings.keeperPin,
    clock: clock.wall,
    log,
  });
  if (madePin !== null) onMadePin(madePin);
  const redButton = await RedButton.open(settings.dataDir);
  const tz = tzCheck(yard);
  log.info({ node: process.version, tz: tz.carried, data: settings.dataDir }, 'the yard computer starts');
  if (tz.warning) log.warn({}, tz.warning);

  const broker = await brokerOf(yard, word, demo, settings.busPort, log);
  let waits: string | null = notes.busNotYet;
  let waitsFor: string | null = null;
  let door: Door | null = null;
  const plans = new PlanKeeper(settings.dataDir);
  const notices: Notices = await Notices.open({
    folder: settings.dataDir,
    post: postJson,
    clock: clock.wall,
    tongue,
    yard: () => desk.show.yard,
    later(run, ms) {
      const timer = setTimeout(run, ms);
      timer.unref();
      return () => clearTimeout(timer);
    },
    log,
    changed: () => door?.turned(false),
  });
  const live = new LiveYard(
    { text, hash: yardHash, yard },
    {
      show: () => desk.show,
      night: (changed) => preparedNight(changed, clock.wall()),
      exchange: (file, fact, fits) => desk.exchange(file.yard, file.text, file.hash, fact, fits),
      saved: () => door?.turned(true),
      exchanged: (file) => {
        log.info({ yardHash: file.hash }, 'the changed yard file holds');
        bus.knows(file.yard);
        calendar.changed();
      },
    },
  );
  const calendar = new CalendarWatch({ desk: () => desk, held: () => live.held, plans, clock, log });

  const desk: Desk = new Desk(
    {
      clock,
      bus: lateBus(() => bus),
      journal,
      numbers,
      yardHash,
      word,
      tell(entry, after) {
        const text = tellEntry(entry, after, tongue);
        notices.heard(entry, text);
        door?.heard(entry, after);
        return text;
      },
      log: { info: (t) => log.info({}, t), warn: (t) => log.warn({}, t), error: (t) => log.error({}, t) },
      onTurn: (after, urgent) => {
        door?.turned(urgent);
        notices.turned(after);
        calendar.look();
        // between two turns, never within one
        if (live.pending) clock.soon(() => closing || live.look());
      },
      onMend: () => plans.mend(desk, clock),
      onBreach,
    },
    show,
  );
  const bus: Bus = openBus({
    yard,
    at: broker ? { broker } : { url: yard.bus.url! },
    word,
    listener: desk,
    onConnection: (connected) => desk.tell({ kind: connected ? 'busConnected' : 'busLost' }),
    log,
  });

  door = new Door({
    desk,
    clock,
    journal,
    demonstration: demo,
    tongue,
    notes: () => [
      ...(tz.warning ? [tz.warning] : []),
      ...(waits ? [waits] : []),
      ...waitingNotes(live.waits(), desk.show.yard, notes),
      ...(notices.trouble ? [notes.noticeFailed(notices.trouble)] : []),
      ...dropNotes(desk, notes),
    ],
    waitsFor: () => waitsFor,
    ready: () => readyOf(desk, waits, notes),
    plan: () => plans.plan,
    onOpened: (night) => void calendar.draw(night),
  });
  const past = new Past(
    { dataDir: settings.dataDir, demonstration: demo, language: tongue.lang },
    () => desk.show.night,
  );
  const metrics = new Registry();
  countDesk(metrics, desk);
  const busUrl = broker ? `mqtt://${broker.host}:${broker.port}` : yard.bus.url!;
  const standins: Standins | null = demo ? startStandins(path, yard, busUrl, (t) => log.warn({}, t)) : null;
  const api: Api = await startApi({
    door,
    past,
    tongue,
    host: settings.host,
    port: settings.port,
    ...(tls ? { tls } : {}),
    people,
    names: settings.names,
    webDir: WEB_DIR,
    demonstration: standins?.door ?? null,
    setUp: {
      file: new YardFile(path, live, !demo),
      redButton,
      strangers: () => bus.strangers(),
      notices,
      backups: new Backups({
        dataDir: settings.dataDir,
        yardPath: path,
        demonstration: demo,
        program: VERSION,
        clock: clock.wall,
        state: () => ({
          mode: desk.show.mode,
          latched: desk.show.stop.latched,
          moving: anyMoving(desk.show),
        }),
        restart: onRestart,
      }),
    },
    log,
    metrics,
    clock: () => desk.at + desk.show.offsetMs,
    asyncapi: () => asyncApi({ root: yard.bus.root, version: VERSION }),
  }).catch(async (error: unknown) => {
    standins?.close();
    await bus.close();
    await broker?.close();
    throw error;
  });

  let closing = false;
  async function drive(): Promise<void> {
    const epoch = await takeEpoch({
      bus,
      numbers,
      known: show.desk.epoch,
      silenceMs: yard.bus.silenceMs,
      notes,
      closing: () => closing,
      waitsFor(said, how) {
        if (waits !== said) log[how]({}, said);
        waits = said;
        waitsFor = said;
        door?.turned(true);
      },
    });
    if (closing) return;
    const now = clock.wall();
    desk.now({
      kind: 'deskStarted',
      epoch,
      word,
      offsetMs: now - clock.now(),
      stop: numbers.stop,
      cleared: numbers.cleared,
      night: demo ? null : nightAt(yard, now),
    });
    bus.begin({ desk: word, epoch });
    waits = null;
    waitsFor = null;
    desk.begin();
    recall();
    if (demo) return calendar.draw(demoNight(yard, clock.wall()));
    const night = preparedNight(yard, now);
    const drawn = night !== null && desk.show.planned.length > 0 && plans.kept(night, yardHash) !== null;
    calendar.begin(drawn ? [night.date] : []);
  }

  /** Tonight before this start: its loads and pressures, so that the curves go on where they were, and its unplanned runs. */
  function recall(): void {
    const { night, n } = desk.show;
    // the demonstration begins a night of its own at each start
    if (!night || demo) return;
    // a night by hand that goes on is not drawn up anew
    if (isByHand(night) && desk.show.planned.length > 0) plans.kept(night, live.held.hash);
    const from = night.openMs - night.noticeMs;
    const unread = (what: string) => (error: unknown) =>
      closing || log.warn({ error: String(error) }, `${what} can't be read out of the record.`);
    past
      .unplanned(night.date, from)
      .then((lines) => door?.unplannedBefore(night, lines), unread('What ran tonight unplanned'));
    past
      .soFar(night.date, from, n)
      .then((told) => door?.soFarBefore(told), unread('What was so far tonight'));
  }

  const driving = drive();
  driving.catch(
    (error: unknown) => !closing && log.error({ error: String(error) }, 'the yard computer can not begin'),
  );

  return {
    yard,
    url: api.url,
    addresses: api.addresses,
    busUrl,
    driving,
    boardHeard: () => Object.values(desk.show.controllers).some((link) => link.live),
    async close() {
      if (closing) return;
      closing = true;
      calendar.stop();
      notices.close();
      desk.end();
      door?.close();
      await api.close();
      past.close();
      await bus.close();
      standins?.close();
      await broker?.close();
      journal.close();
      numbers.close();
      folder.close();
    },
  };
}
