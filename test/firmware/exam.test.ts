import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { EXAM_CHECKS, examineOn } from '../../server/standin/exam.ts';
import type { ExamBus } from '../../server/standin/examiner.ts';
import { readPayload } from '../../server/standin/topics.ts';
import type { Prop } from '../../server/yard/types.ts';
import { buildHost, compiler, Host } from './host.ts';

let built: ReturnType<typeof buildHost> | null = null;

beforeAll(() => {
  if (compiler) built = buildHost();
}, 120_000);
afterAll(() => built?.remove());

/** The ferry of the first yard file. Its need speaks of another board's prop, which an examination can't see. */
function ferry(): Prop {
  const path = new URL('../../config/ferry.yaml', import.meta.url);
  const read = readYard(readFileSync(path, 'utf8'));
  if (!read.ok) throw new Error('config/ferry.yaml does not read');
  const prop = read.yard.props.get('ferry')!;
  return { ...prop, moves: new Map([...prop.moves].map(([id, m]) => [id, { ...m, needs: [] }])) };
}

const PASS_MS = 10;
const TRAVEL_MS = 7000;

/** A broker in virtual time with the compiled carriage on it, and under it a carriage on rails. */
class Table implements ExamBus {
  readonly #program: string;
  #host: Host;
  #on = false;
  #topics = new Set<string>();
  #will: { topic: string; payload: string } | null = null;
  readonly #retained = new Map<string, string>();
  readonly #timers = new Set<{ atMs: number; everyMs: number; act: () => void }>();
  #toBoard: [string, string][] = [];
  #listener: Parameters<ExamBus['onMessage']>[0] = () => {};
  #atMs = 0;
  #bootMs = 0;
  #words = 0;
  #way: 'off' | 'out' | 'back' = 'off';
  /** 0 near, 1 far. */
  place = 0;

  constructor(program: string) {
    this.#program = program;
    this.#host = new Host(program);
  }

  nowMs(): number {
    return this.#atMs;
  }

  onMessage(listener: Parameters<ExamBus['onMessage']>[0]): void {
    this.#listener = listener;
    for (const [topic, payload] of this.#retained) listener(topic, objectOf(payload), true);
  }

  publish(topic: string, payload: string, retain: boolean): void {
    if (retain && payload === '') this.#retained.delete(topic);
    else if (retain) this.#retained.set(topic, payload);
    this.#listener(topic, objectOf(payload), false);
    if (this.#on && this.#topics.has(topic)) this.#toBoard.push([topic, payload]);
  }

  every(ms: number, act: () => void): () => void {
    act();
    const timer = { atMs: this.#atMs + ms, everyMs: ms, act };
    this.#timers.add(timer);
    return () => this.#timers.delete(timer);
  }

  async wait(ms: number, until?: () => boolean): Promise<boolean> {
    const endMs = this.#atMs + ms;
    for (;;) {
      if (until?.()) return true;
      if (this.#atMs >= endMs) return false;
      await this.#pass();
    }
  }

  async kept(topics: readonly string[]) {
    const held = [...this.#retained].filter(([topic]) => topics.includes(topic));
    return new Map(
      held.flatMap(([topic, text]) => (objectOf(text) ? [[topic, objectOf(text)!] as const] : [])),
    );
  }

  async close(): Promise<void> {
    this.#host.end();
  }

  /** Plugs it in: it boots, connects with its will, subscribes, and hears what the broker had kept. */
  async power(): Promise<void> {
    this.#bootMs = this.#atMs;
    const word = `boot${++this.#words}`;
    const [will] = await this.#host.ask(`will ${word}`);
    const subs = await this.#host.ask('subscriptions');
    if (will?.kind !== 'will') throw new Error('no will');
    this.#will = { topic: will.fields[0]!, payload: will.fields[1]! };
    this.#topics = new Set(subs.map((s) => ('fields' in s ? s.fields[0]! : '')));
    this.#on = true;
    for (const [topic, payload] of this.#retained) {
      if (this.#topics.has(topic)) this.#toBoard.push([topic, payload]);
    }
    await this.#tell(`tick ${this.#clock} ${this.#ends}`);
    await this.#tell(`connected ${this.#clock} ${word}`);
  }

  /** Pulls the plug, and puts it in again half a second later. */
  async powerCycle(): Promise<void> {
    this.#on = false;
    this.#way = 'off';
    this.#host.end();
    this.#host = new Host(this.#program);
    if (this.#will) this.publish(this.#will.topic, this.#will.payload, true);
    for (let i = 0; i < 50; i++) await this.#pass();
    await this.power();
  }

  get #clock(): number {
    return this.#atMs - this.#bootMs;
  }

  get #ends(): string {
    return `${this.place >= 0.99 ? 1 : 0} ${this.place <= 0.01 ? 1 : 0}`;
  }

  async #pass(): Promise<void> {
    this.#atMs += PASS_MS;
    const by = this.#way === 'off' ? 0 : (this.#way === 'out' ? 1 : -1) * (PASS_MS / TRAVEL_MS);
    this.place = Math.min(1, Math.max(0, this.place + by));
    if (this.#on) {
      await this.#tell(`tick ${this.#clock} ${this.#ends}`);
      // one message a pass, as the sketch has it
      const next = this.#toBoard.shift();
      if (next) await this.#tell(`hears ${this.#clock} 0 ${next[0]} ${Buffer.from(next[1]).toString('hex')}`);
    }
    for (const timer of this.#timers) {
      if (timer.atMs > this.#atMs) continue;
      timer.atMs += timer.everyMs;
      timer.act();
    }
  }

  async #tell(command: string): Promise<void> {
    for (const said of await this.#host.ask(command)) {
      if (said.kind === 'motor') this.#way = said.way;
      else if (said.kind === 'pub') this.publish(said.topic, said.payload, said.retained);
    }
  }
}

const objectOf = (payload: string) => readPayload(new TextEncoder().encode(payload));

describe.skipIf(!compiler)('the carriage under examination', () => {
  test('the ferry of the first yard file keeps every duty, and stands at home after it', async () => {
    const table = new Table(built!.program);
    await table.power();
    await table.wait(500);
    const options = { mayMove: true, powerCycle: () => table.powerCycle() };
    const result = await examineOn(table, 'ferry', [ferry()], options, 'examiner');
    await table.close();
    expect(result.refused).toBeNull();
    expect(result.checks.filter((c) => c.verdict === 'broken').map((c) => `${c.id}: ${c.found}`)).toEqual([]);
    expect(result.checks.filter((c) => c.verdict === 'not tried').map((c) => `${c.id}: ${c.found}`)).toEqual(
      [],
    );
    expect(result.checks.map((c) => c.id)).toEqual(EXAM_CHECKS.map((c) => c.id));
    expect(table.place).toBeLessThanOrEqual(0.01);
  }, 180_000);
});
