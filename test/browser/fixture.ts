import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import express from 'express';
import { Server } from 'socket.io';
import type { Beat, FeedChange } from '../../server/api/feed-words.ts';
import type { BackupTold } from '../../server/backup/stage.ts';
import type { StrangerBoard } from '../../server/bus/strangers.ts';
import type { PictureChange, RecordLine } from '../../server/desk-door.ts';
import { differenceOf } from '../../server/file/difference.ts';
import { readYard } from '../../server/file/read.ts';
import { reviewYard } from '../../server/file/review.ts';
import { reviewLeft } from '../../server/file/review-left.ts';
import type { WaitingFile } from '../../server/live-yard.ts';
import type { NoticesTold } from '../../server/notices/notices.ts';
import type { KnownNight } from '../../server/past/nights.ts';
import type { Then } from '../../server/past/reader.ts';
import type { Picture } from '../../server/picture.ts';
import type { RedButtonSaid } from '../../server/red-button.ts';
import { tellReport } from '../../server/report/tables.ts';
import { english } from '../../server/words/en/english.ts';
import { faultPage, isFaultCode } from '../../server/words/pages.ts';
import type { Me } from '../../web/store.ts';
import type { Demo } from '../../web/tour.ts';
import { SAMPLE } from '../report/sample.ts';
import { course, thenOf } from './hand-past.ts';
import { EVENING, FILE, yard } from './hand-pictures.ts';
import { curves, plan, travels } from './hand-plan.ts';

const PAGE = fileURLToPath(new URL('../../dist/web', import.meta.url));

export interface Heard {
  readonly method: string;
  readonly path: string;
  readonly body: Record<string, unknown>;
  /** The content type it came with: a form's differs from the script's. */
  readonly type: string;
}

/**
 * A desk that shows what a test gives it: the built page, the feed and the calls, with pictures made by hand.
 * Its clock starts at the picture's own `at`, so that what is seen does not depend on the day.
 */
export class Fixture {
  readonly heard: Heard[] = [];
  picture: Picture;
  me: Me | null = null;
  nights: KnownNight[] = ['2026-10-31', '2026-10-30', '2026-10-29'].map((night) => ({
    night,
    plannedAt: EVENING,
    runs: 212,
    openedAt: EVENING,
  }));
  /** The yard at an instant; null: nothing is kept of then. Slow answers are how long they take. */
  past: (at: number) => Then | null = thenOf;
  pastTakesMs = 0;
  /** Instants of the past that were asked for. */
  readonly asked: number[] = [];
  editable = true;
  people: { name: string; role: string }[] = [{ name: 'Wren', role: 'keeper' }];
  redButton: RedButtonSaid | null = null;
  #file = { text: FILE, hash: 'hash-0' };
  /** What a saved file waits for; null: it runs at once. */
  waits: WaitingFile | null = null;
  #runs = FILE;
  strangers: StrangerBoard[] = [
    {
      id: 'heron-board',
      firmware: '1.2',
      up: true,
      props: [
        {
          id: 'heron',
          sensors: [
            { id: 'near', made: true },
            { id: 'far', made: false },
          ],
        },
      ],
    },
    {
      id: 'gate',
      firmware: null,
      up: true,
      props: [{ id: 'gate', sensors: [{ id: 'button', made: false }] }],
    },
  ];
  notices: NoticesTold = {
    settings: { address: null, about: ['stop', 'lockout', 'record', 'bus'], quiet: null },
    fates: [],
  };
  /** What is in the backup that is brought. */
  backup: BackupTold = {
    sum: 'abc',
    madeAt: EVENING - 86_400_000,
    program: '0.1.0',
    yard: 'Saltmarsh Landing',
    nights: 3,
    people: 2,
  };
  /** What visitors of the demonstration have put on. */
  demo: Demo = { faults: [], keeper: true };
  record: RecordLine[] = [];
  /** What the next commands are answered with instead of 200. */
  refuse: { status: number; detail: string; sentences: string[] } | null = null;
  /** Whether the stop reaches the bus, and what it does to the picture. */
  busTakesStop = true;
  onStop: (() => void) | null = null;
  beating = true;
  /** False: calls hang and the socket is cut, as when the radio is gone. */
  reachable = true;
  /** False: the socket is refused, and only calls work. */
  feeding = true;
  /** True: `GET /api/yard` gets no answer for now. */
  holdYard = false;
  /** Whether the page gets its script. */
  script = true;
  url = '';
  readonly #born = performance.now();
  readonly #http = createServer();
  readonly #io = new Server(this.#http, { serveClient: false });
  readonly #timer: ReturnType<typeof setInterval>;

  private constructor(picture: Picture) {
    this.picture = picture;
    this.#io.use((_socket, next) =>
      this.reachable && this.feeding ? next() : next(new Error('unreachable')),
    );
    this.#io.on('connection', (socket) => socket.emit('picture', this.now()));
    this.#timer = setInterval(() => {
      if (this.beating && this.reachable)
        this.#io.emit('beat', { at: this.clock(), seq: this.picture.seq } satisfies Beat);
    }, 1000);
    this.#http.on('request', this.#calls());
  }

  static async start(picture: Picture): Promise<Fixture> {
    const fixture = new Fixture(picture);
    await new Promise<void>((done) => fixture.#http.listen(0, '127.0.0.1', done));
    fixture.url = `http://127.0.0.1:${(fixture.#http.address() as AddressInfo).port}`;
    return fixture;
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer);
    this.holdYard = false;
    const closed = this.#io.close();
    this.#http.closeAllConnections();
    await closed;
  }

  /** The desk's clock. */
  clock(): number {
    return EVENING + (performance.now() - this.#born);
  }

  now(): Picture {
    return { ...this.picture, at: this.clock() };
  }

  /** A whole new picture for everyone, as after a new start. */
  show(picture: Picture): void {
    this.picture = { ...picture, seq: this.picture.seq + 1 };
    this.#io.emit('picture', this.now());
  }

  change(set: PictureChange['set'], more: Omit<PictureChange, 'seq' | 'at' | 'set'> = {}): void {
    const seq = this.picture.seq + 1;
    this.picture = {
      ...this.picture,
      ...set,
      seq,
      props: { ...this.picture.props, ...(more.props as Picture['props']) },
    };
    this.#io.emit('change', { seq, from: seq - 1, at: this.clock(), set, ...more } satisfies FeedChange);
  }

  /** A change that no page hears of. */
  skip(set: PictureChange['set']): void {
    this.picture = { ...this.picture, ...set, seq: this.picture.seq + 1 };
  }

  /** As when the phone loses the Wi-Fi. */
  cut(): void {
    this.reachable = false;
    this.#io.disconnectSockets(true);
    this.#http.closeAllConnections();
  }

  stops(): Heard[] {
    return this.heard.filter((call) => call.path === '/api/stop' && call.method === 'POST');
  }

  #calls() {
    const app = express();
    app.use((_req, res, next) => {
      // No stricter policy than this is served by the real desk, and none looser.
      res.setHeader(
        'Content-Security-Policy',
        "default-src 'self'; frame-ancestors 'none'; form-action 'self'",
      );
      next();
    });
    app.use(express.json({ limit: '1mb' }), express.urlencoded({ extended: false }));
    app.use((req, res, next) => {
      if (!this.reachable) return void req.socket.destroy();
      if (!this.script && req.path.endsWith('.js')) return void res.status(404).end();
      if (req.method !== 'GET') {
        const { method, path } = req;
        this.heard.push({ method, path, body: { ...req.body }, type: req.headers['content-type'] ?? '' });
      }
      next();
    });
    app.post('/api/stop', (_req, res) => {
      this.onStop?.();
      res.status(this.busTakesStop ? 200 : 503).json({ n: 8, bus: this.busTakesStop });
    });
    app.get('/api/yard', async (_req, res) => {
      while (this.holdYard) await new Promise((later) => setTimeout(later, 50));
      res.json(this.now());
    });
    app.get('/api/plan', (_req, res) => void res.json(plan()));
    app.get('/api/plan/curves', (_req, res) => void res.json(curves()));
    app.get('/api/props/:prop/travels', (req, res) => {
      res.json(req.params.prop === 'ferry' ? travels() : { moves: [], drift: null });
    });
    this.#setUpCalls(app);
    this.#pastCalls(app);
    app.get('/api/join', (_req, res) => void res.json({ addresses: ['http://192.0.2.17:10310'] }));
    app.get('/api/join.svg', (_req, res) => void res.type('svg').send(SQUARE));
    app.get('/api/journal', (req, res) => {
      const after = Number(req.query.after);
      const lines = this.record.filter((line) => line.n > after).slice(0, Number(req.query.limit));
      res.json({ lines, next: lines.at(-1)?.n ?? after });
    });
    app.get('/api/session', (_req, res) => void (this.me ? res.json(this.me) : res.status(204).end()));
    app.post('/api/session', (req, res) => {
      if (req.body.pin !== '4242')
        return void res.status(401).type('application/problem+json').send(WRONG_PIN);
      this.me = { name: 'Wren', role: 'keeper' };
      res.json(this.me);
    });
    app.delete('/api/session', (_req, res) => {
      this.me = null;
      res.status(204).end();
    });
    app.get('/api/demo', (_req, res) => void res.json(this.demo));
    app.post('/api/demo/keeper', (_req, res) => {
      this.me = { name: 'keeper', role: 'keeper' };
      res.json(this.me);
    });
    app.post('/api/demo/fault', (req, res) => {
      const { prop, fault, on } = req.body;
      this.demo = { ...this.demo, faults: on ? [{ prop, fault }] : [] };
      res.json({ ok: true });
    });
    app.post('/api/{*any}', (_req, res) => {
      if (!this.refuse) return void res.json({ ok: true });
      const { status, detail, sentences } = this.refuse;
      const reasons = sentences.map((sentence, n) => ({ code: `reason-${n}`, sentence }));
      res.status(status).type('application/problem+json').send(JSON.stringify({ status, detail, reasons }));
    });
    app.get('/faults/:code', (req, res) => {
      const { code } = req.params;
      if (!isFaultCode(code)) return void res.status(404).end();
      res.type('html').send(faultPage(code, english).html);
    });
    app.use(express.static(PAGE));
    return app;
  }

  #pastCalls(app: express.Express) {
    app.get('/api/nights', (_req, res) => void res.json({ nights: this.nights }));
    app.get('/api/nights/:night/told', (req, res) => {
      const { night } = req.params;
      if (night === '2026-10-29') return void res.status(404).end();
      res.json(tellReport({ ...SAMPLE, night }, yard));
    });
    app.get('/api/nights/:night/course', (req, res) => {
      const { night } = req.params;
      if (night === '2026-10-29') return void res.status(404).type('application/problem+json').send(NOTHING);
      res.json({ ...course(), night });
    });
    app.get('/api/past', async (req, res) => {
      const at = Number(req.query.at);
      this.asked.push(at);
      await new Promise((later) => setTimeout(later, this.pastTakesMs));
      const then = this.past(at);
      if (!then) return void res.status(404).type('application/problem+json').send(NOTHING);
      res.json(then);
    });
    app.get('/api/props/:prop/story', (req, res) => {
      const before = Number(req.query.before ?? 1e9);
      const of = this.record.filter(
        ({ n, prop }) => n < before && (prop === null || prop === req.params.prop),
      );
      const lines = of.reverse().slice(0, Number(req.query.limit));
      res.json({ lines, before: lines.length < of.length ? lines.at(-1)!.n : null });
    });
  }

  /** The file is really read, here on the test's own thread; `refuse` stands before all of these. */
  #setUpCalls(app: express.Express) {
    const kept = (res: express.Response, body: unknown) => {
      if (!this.refuse) return void res.json(body);
      const { status, detail } = this.refuse;
      res
        .status(status)
        .type('application/problem+json')
        .send(JSON.stringify({ status, detail, reasons: [] }));
    };
    app.get('/api/file', (_req, res) => {
      const { text, hash } = this.#file;
      const lastGood = 'saltmarsh.yaml.last-good';
      res.json({
        name: 'saltmarsh.yaml',
        text,
        hash,
        editable: this.editable,
        runs: text === this.#runs,
        waits: text === this.#runs ? null : this.waits,
        lastGood,
      });
    });
    app.post('/api/file/check', (req, res) => {
      const found = readYard(req.body.text);
      const left = found.ok || !found.left ? null : reviewLeft(found.left, found.errors);
      const findings = (found.ok ? reviewYard(found.yard) : (left?.findings ?? [])).map(
        ({ level, text }) => ({
          level,
          text,
        }),
      );
      const leftOut = left?.leftOut ?? [];
      const errors = found.ok
        ? []
        : found.errors.map(({ line, column, message }) => ({ line, column, message }));
      const changes = found.ok ? differenceOf(this.#runs, req.body.text) : [];
      kept(res, { ok: found.ok, errors, notes: found.ok ? found.notes : [], findings, leftOut, changes });
    });
    app.put('/api/file', (req, res) => {
      if (!readYard(req.body.text).ok) return void res.status(422).json({ detail: 'It has mistakes.' });
      if (!this.refuse) {
        this.#file = { text: req.body.text, hash: 'hash-1' };
        if (!this.waits) this.#runs = req.body.text;
      }
      kept(res, {
        hash: 'hash-1',
        lastGood: 'saltmarsh.yaml.last-good',
        runs: !this.waits,
        waits: this.waits,
      });
    });
    app.get('/api/strangers', (_req, res) => void res.json({ boards: this.strangers }));
    app.get('/api/notices', (_req, res) => void res.json(this.notices));
    app.put('/api/notices', (req, res) => {
      if (!this.refuse) this.notices = { ...this.notices, settings: req.body };
      kept(res, this.notices);
    });
    app.post('/api/notices/trial', (_req, res) => {
      const why = this.refuse ? 'nothing listens at 192.168.8.20:8080' : null;
      const fate = { at: this.clock(), what: 'trial', fate: why ? 'failed' : 'sent', why } as const;
      this.notices = { ...this.notices, fates: [fate, ...this.notices.fates] };
      kept(res, this.notices);
    });
    app.get('/api/backup', (_req, res) => {
      res.attachment('dusklatch-2026-10-31T211400Z.zip').type('application/zip').send(Buffer.from('PK'));
    });
    app.post('/api/restore/check', (_req, res) => kept(res, this.backup));
    app.post('/api/restore', (_req, res) => kept(res, { kept: 'backups/before-restore-2026.zip' }));
    app.get('/api/people', (_req, res) => void res.json({ people: this.people }));
    app.post('/api/people', (req, res) => {
      const { name, role } = req.body;
      this.people = [...this.people, { name, role }];
      kept(res, { people: this.people });
    });
    app.delete('/api/people/:name', (req, res) => {
      this.people = this.people.filter(({ name }) => name !== req.params.name);
      kept(res, { people: this.people });
    });
    app.put('/api/people/:name/pin', (_req, res) => void res.status(204).end());
    app.get('/api/red-button', (_req, res) => void res.json({ said: this.redButton }));
    app.put('/api/red-button', (req, res) => {
      this.redButton = { ...req.body, saidBy: 'Wren', saidAt: this.clock() };
      kept(res, { said: this.redButton });
    });
  }
}

const NOTHING = JSON.stringify({ status: 404, detail: 'Nothing is kept of that moment.', reasons: [] });
const WRONG_PIN = JSON.stringify({ status: 401, detail: 'That PIN is not right.', reasons: [] });
const SQUARE =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 7 7"><path d="M0 0h3v3H0zM4 0h3v3H4zM0 4h3v3H0zM5 5h1v2H5z"/></svg>';
