import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { z } from 'zod';
import { pictureSchema, planSchema } from '../../server/api/answers.ts';
import { reportSchema } from '../../server/api/answers-report.ts';
import type { Picture } from '../../server/picture.ts';
import type { PlanNow } from '../../server/plan-now.ts';
import { SAMPLE } from '../report/sample.ts';
import { TestYard } from './harness.ts';
import { saltmarsh } from './scripted-door.ts';

let yard: TestYard;
beforeEach(async () => {
  yard = await TestYard.start();
});
afterEach(() => yard.end());

/** With every optional part made a needed one, so that a part which only one side knows is a type error. */
type Whole<T> = T extends object ? { [K in keyof T]-?: Whole<T[K]> } : T;
type Told = z.infer<typeof pictureSchema>;
const documentedPicture = (picture: Picture): Told => picture;
const wholePicture: { there: (p: Whole<Picture>) => Whole<Told>; back: (p: Whole<Told>) => Whole<Picture> } =
  {
    there: (picture) => picture,
    back: (picture) => picture,
  };

describe('health', () => {
  it('is alive at once, even with no bus', async () => {
    yard.door.readiness = { ready: false, why: 'The bus is not connected.' };
    expect((await yard.get('/healthz')).json).toEqual({ ok: true });
  });

  it('is ready when the desk is, and else says why', async () => {
    expect((await yard.get('/readyz')).json).toEqual({ ready: true });
    yard.door.readiness = { ready: false, why: 'The bus is not connected.' };
    const said = await yard.get('/readyz');
    expect(said.status).toBe(503);
    expect(said.json.detail).toBe('The bus is not connected.');
    expect((await yard.post('/api/stop')).status).toBe(200);
  });

  it('has figures in Prometheus text', async () => {
    await yard.get('/api/plan');
    await yard.get('/nowhere');
    await yard.post('/api/stop');
    const said = await yard.get('/metrics');
    expect(said.headers['content-type']).toMatch(/^text\/plain; version=0\.0\.4/);
    expect(said.text).toMatch(/^dusklatch_http_requests_total\{call="GET \/api\/plan",status="200"\} 1$/m);
    expect(said.text).toMatch(/^dusklatch_http_requests_total\{call="other",status="404"\} 1$/m);
    expect(said.text).toMatch(/^dusklatch_stop_requests_total\{bus="true"\} 1$/m);
    expect(said.text).toMatch(/^dusklatch_feed_sockets 0$/m);
  });
});

describe('the picture', () => {
  it('is the desk’s, now, and what the schema says', async () => {
    yard.now += 1_500;
    const said = await yard.get('/api/yard');
    expect(said.json).toEqual({ ...saltmarsh(), at: yard.now });
    expect(pictureSchema.parse(said.json)).toEqual(documentedPicture(yard.door.picture()));
    const sun = { rise: yard.now - 3_600_000, set: null };
    yard.door.turn({ set: { yard: { ...yard.door.state.yard, sun } } });
    expect((await yard.get('/api/yard')).json.yard.sun).toEqual(sun);
    const whole = pictureSchema.parse(yard.door.picture()) as Whole<Told>;
    expect(wholePicture.there(wholePicture.back(whole))).toBe(whole);
    expect(said.headers['cache-control']).toBe('no-store');
  });
});

describe('the plan', () => {
  const plan: PlanNow = {
    night: '2026-10-31',
    yard: 'saltmarsh',
    open: '2026-10-31T18:30:00-04:00',
    close: '2026-10-31T22:00:00-04:00',
    quiet: null,
    runs: [{ id: '2026-10-31.crossing.1', scene: 'crossing', start: 30, end: 95, steps: [] }],
    unplanned: [
      {
        id: '2026-10-31.crossing.36',
        scene: 'crossing',
        origin: 'hand',
        state: 'failed',
        actualStart: Date.UTC(2026, 9, 31, 23),
        actualEnd: null,
        why: 'Failed at ferry: did not leave its end.',
      },
    ],
    scenes: {
      crossing: { wanted: 35, planned: 33, longestGap: 400, boundBy: { rule: 'circuit', id: 'garage' } },
    },
    circuits: { garage: { peakAmps: 9, limitAmps: 12, peakSurgeAmps: 13, breakerAmps: 15 } },
    tanks: {},
    expects: {},
    level: 0.9,
    worth: 33,
    bound: { level: 1, worth: 35 },
  };

  it('is null until one is drawn, then as the desk has it', async () => {
    const none = await yard.get('/api/plan');
    expect([none.status, none.json]).toEqual([200, null]);
    yard.door.drawn = plan;
    const said = await yard.get('/api/plan');
    expect(said.json).toEqual(plan);
    expect(planSchema.parse(said.json)).toEqual(plan);
  });
});

describe('the record', () => {
  beforeEach(() => {
    yard.door.lines = Array.from({ length: 1_200 }, (_, i) => ({
      n: i + 1,
      at: yard.now + i,
      code: 'homed',
      text: 'Ferry is home.',
      prop: 'ferry',
      scene: null,
      run: null,
    }));
  });

  it('goes on where the last answer ended', async () => {
    const first = await yard.get('/api/journal');
    expect(first.json.lines).toHaveLength(200);
    expect(first.json.next).toBe(200);
    const second = await yard.get('/api/journal?after=200&limit=1000');
    expect(second.json.lines[0].n).toBe(201);
    expect(second.json.next).toBe(1_200);
    const end = await yard.get('/api/journal?after=1200');
    expect(end.json).toEqual({ lines: [], next: 1_200 });
  });

  it.each([
    'after=-1',
    'after=x',
    'limit=1001',
    'limit=1.5',
    'after=1&after=2',
    'limit=',
    'after=99999999999999999',
  ])('is 422 for %s', async (query) => {
    const said = await yard.get(`/api/journal?${query}`);
    expect(said.status).toBe(422);
    expect(said.json.detail).toMatch(/^`(after|limit)` must be a whole number/);
  });

  it('passes over what it does not know in an address', async () => {
    expect((await yard.get('/api/journal?limit=1&x=y&__proto__=1&constructor[a]=1')).json.lines).toHaveLength(
      1,
    );
  });
});

describe('a night’s report', () => {
  it('is as the desk has it', async () => {
    yard.door.reports.set('2026-10-31', SAMPLE);
    yard.door.reports.set('2026-10-31-hand', { ...SAMPLE, night: '2026-10-31-hand' });
    const told = (await yard.get('/api/nights/2026-10-31/report')).json;
    expect(told).toEqual(SAMPLE);
    expect(reportSchema.parse(told)).toEqual(SAMPLE);
    expect((await yard.get('/api/nights/2026-10-31-hand/report')).status).toBe(200);
    expect((await yard.get('/api/nights/2026-10-30/report')).status).toBe(404);
  });

  it.each(['today', '2026-1-1', '__proto__', '2026-10-31x', '%2e%2e%2fpeople.json', '%E0%A4%A'])(
    'is 422 for %s',
    async (date) => {
      expect((await yard.get(`/api/nights/${date}/report`)).status).toBe(422);
    },
  );
});

describe('what is not there', () => {
  it.each(['/api', '/api/', '/api/nothing', '/nothing', '/api/yard/x', '/socket.io', '/%E0%A4%A'])(
    'is a problem: %s',
    async (path) => {
      const said = await yard.get(path);
      expect([404, 422]).toContain(said.status);
      expect(said.headers['content-type']).toBe('application/problem+json');
      expect(said.json.type).toBe('about:blank');
    },
  );

  it('has no call of the demonstration in earnest', async () => {
    expect((await yard.post('/api/demo/fault', { prop: 'ferry', fault: 'jam', on: true })).status).toBe(404);
  });

  it.each(['/api/yard', '/api/plan', '/api/journal', '/healthz', '/api/people'])(
    'is a method that a call has not: POST %s',
    async (path) => {
      const said = await yard.send('PATCH', path);
      expect(said.status).toBe(405);
      expect(said.headers.allow).toMatch(/^GET, HEAD/);
    },
  );
});
