import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import { board, type Daemon, rawClient, sleep, startDaemon, until } from './rig.ts';
import { median, type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const ROUNDS = 40;

/** The carriage's far sensor published → the figure's `do` received; against two raw hops and one durable append. */
export async function benchGate(): Promise<Row[]> {
  const d = await startDaemon((port) => pairsYard(1, port));
  let arrivedAt = 0;
  const took: number[] = [];
  const floor: number[] = [];
  const floorFor = await floorOf(d);
  let n = 10;
  const boat = await board(d.busUrl, 'boat-0', { near: true, far: false, mat: false }, (topic, p, me) => {
    if (topic !== 'prop/boat-0/do') return;
    const out = p.move === 'out';
    const did = { prop: 'boat-0', run: p.run, step: p.step, move: p.move, session: me.session };
    const sense = (sensor: string, made: boolean): void =>
      me.say(`prop/boat-0/sense/${sensor}`, { prop: 'boat-0', made, session: me.session, n: ++n });
    me.say('prop/boat-0/did', { ...did, is: 'started' });
    sense(out ? 'near' : 'far', false);
    setTimeout(() => {
      arrivedAt = performance.now();
      sense(out ? 'far' : 'near', true);
      me.say('prop/boat-0/did', { ...did, is: 'done', ms: 900 });
    }, 900);
  });
  const figure = await board(d.busUrl, 'figure-0', {}, (topic, p, me) => {
    if (topic !== 'prop/figure-0/do') return;
    took.push(performance.now() - arrivedAt);
    const did = { prop: 'figure-0', run: p.run, step: p.step, move: p.move, session: me.session };
    me.say('prop/figure-0/did', { ...did, is: 'started' });
    me.say('prop/figure-0/did', { ...did, is: 'done', ms: 1 });
  });
  try {
    await d.opened();
    for (let i = 0; i < ROUNDS; i++) {
      await until('the scene to start', async () => (await d.command('/api/scenes/trip-0/run')).ok, 15_000);
      await until('the figure to be told', () => took.length > i, 15_000);
      // while the carriage goes back
      await sleep(300);
      for (let k = 0; k < 2; k++) floor.push(await floorFor.once());
      await sleep(600);
    }
    return [
      row(
        'gate, p50',
        median(took),
        median(floor),
        'ms',
        '<= 1.5',
        'floor: two raw hops and one durable append',
      ),
    ];
  } finally {
    boat.close();
    figure.close();
    floorFor.close();
    await d.stop();
  }
}

/** One raw client to another and back through the same broker, and one durable insert on the same disk. */
async function floorOf(d: Daemon): Promise<{ once(): Promise<number>; close(): void }> {
  const a = await rawClient(d.busUrl);
  const b = await rawClient(d.busUrl);
  await a.subscribeAsync('bench/floor-back', { qos: 0 });
  await b.subscribeAsync('bench/floor', { qos: 1 });
  const dir = mkdtempSync(join(tmpdir(), 'dusklatch-floor-'));
  const db = new DatabaseSync(join(dir, 'floor.db'));
  db.exec('pragma journal_mode=wal; pragma synchronous=full; create table t (x text)');
  const insert = db.prepare('insert into t values (?)');
  const payload = JSON.stringify({ prop: 'boat-0', made: true, session: 'w1', n: 42 });
  b.on('message', () => {
    insert.run(payload);
    b.publish('bench/floor-back', payload, { qos: 0 });
  });
  return {
    async once() {
      const sent = performance.now();
      const back = new Promise<void>((done) => a.once('message', () => done()));
      a.publish('bench/floor', payload, { qos: 1 });
      await back;
      return performance.now() - sent;
    },
    close() {
      a.end(true);
      b.end(true);
      db.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
