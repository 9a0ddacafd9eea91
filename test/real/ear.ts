import mqtt, { type MqttClient } from 'mqtt';

/** One message, as a bystander on the bus heard it. */
export interface Heard {
  /** Ms since the test process began. */
  readonly at: number;
  readonly topic: string;
  readonly payload: Record<string, unknown>;
  /** Kept by the broker from earlier. */
  readonly retained: boolean;
}

export interface Order {
  readonly at: number;
  readonly prop: string;
  readonly move: string;
  readonly run: string;
  readonly step: number;
}

/** A bystander that keeps all that passes on the bus, in order, over whatever becomes of the broker. */
export class Ear {
  readonly heard: Heard[] = [];
  readonly client: MqttClient;

  private constructor(url: string) {
    this.client = mqtt.connect(url, { clean: true, reconnectPeriod: 100, connectTimeout: 2000 });
    this.client.on('error', () => {});
    this.client.on('message', (topic, bytes, packet) => {
      const at = performance.now();
      try {
        const payload = JSON.parse(bytes.toString()) as Heard['payload'];
        if (typeof payload === 'object' && payload !== null)
          this.heard.push({ at, topic, payload, retained: packet.retain });
      } catch {
        // what a test itself planted; a bystander has no use for it
      }
    });
  }

  /** Listens; resolves once it hears. */
  static async on(url: string): Promise<Ear> {
    const ear = new Ear(url);
    await new Promise<void>((up, fail) => {
      ear.client.once('connect', () =>
        ear.client.subscribe('yard/#', { qos: 1 }, (e) => (e ? fail(e) : up())),
      );
    });
    return ear;
  }

  /** A place in what it heard: what follows it is asked for by this. */
  mark(): number {
    return this.heard.length;
  }

  /** Everything on one topic under `yard/` after a mark, live only. */
  on(topic: string, from = 0): Heard[] {
    return this.heard.slice(from).filter((h) => h.topic === `yard/${topic}` && !h.retained);
  }

  /** Every order to move after a mark, of one prop or of all. A retained one counts: there must be none. */
  orders(from = 0, prop = '+'): Order[] {
    const found: Order[] = [];
    for (const { at, topic, payload } of this.heard.slice(from)) {
      const [, , id, kind] = topic.split('/');
      if (kind !== 'do' || (prop !== '+' && id !== prop)) continue;
      found.push({ at, ...(payload as unknown as Omit<Order, 'at'>) });
    }
    return found;
  }

  /** Whether a sensor reads made, by the last word of it on the bus. */
  made(prop: string, sensor: string): boolean | null {
    const last = this.heard.findLast((h) => h.topic === `yard/prop/${prop}/sense/${sensor}`);
    return last ? last.payload.made === true : null;
  }

  say(
    topic: string,
    payload: object | string | Buffer,
    options: { retain?: boolean; qos?: 0 | 1 } = {},
  ): void {
    const bytes = typeof payload === 'string' || Buffer.isBuffer(payload) ? payload : JSON.stringify(payload);
    this.client.publish(`yard/${topic}`, bytes, { qos: options.qos ?? 1, retain: options.retain ?? false });
  }

  close(): void {
    this.client.end(true);
  }
}
