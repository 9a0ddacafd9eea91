/** What a topic under the root is about, by the page of the contract. */
export type Kind =
  | 'desk'
  | 'heartbeat'
  | 'stop'
  | 'announce'
  | 'notice'
  | 'link'
  | 'beat'
  | 'stopped'
  | 'do'
  | 'halt'
  | 'did'
  | 'sense'
  | 'other';

export type Data = Readonly<Record<string, unknown>>;

/** A message on its way. */
export interface Message {
  readonly topic: string;
  readonly kind: Kind;
  /** Controller or prop; empty where the topic names none. */
  readonly id: string;
  readonly sensor: string;
  /** Null where the bytes are no JSON object. */
  readonly data: Data | null;
  /** Made when first wanted. */
  bytes: Uint8Array | null;
  readonly qos: 0 | 1;
  readonly retain: boolean;
  readonly sentAt: number;
  /** Who said it; `weather` is nobody of the yard. */
  readonly from: string;
}

export interface Place {
  readonly kind: Kind;
  readonly id: string;
  readonly sensor: string;
}

const places = new Map<string, Place>();

/** Takes a topic apart, without any word of the desk's own reading of it. */
export function placeOf(root: string, topic: string): Place {
  const key = `${root} ${topic}`;
  let place = places.get(key);
  if (!place) {
    place = takeApart(root, topic);
    if (places.size < 5000) places.set(key, place);
  }
  return place;
}

function takeApart(root: string, topic: string): Place {
  const other: Place = { kind: 'other', id: '', sensor: '' };
  if (!topic.startsWith(`${root}/`)) return other;
  const parts = topic.slice(root.length + 1).split('/');
  const [first, id = '', last, sensor = ''] = parts;
  if (parts.length === 1) {
    const plain = first as Kind;
    return ['desk', 'heartbeat', 'stop', 'announce', 'notice'].includes(plain)
      ? { kind: plain, id: '', sensor: '' }
      : other;
  }
  if (first === 'controller' && parts.length === 3 && ['link', 'beat', 'stopped'].includes(last!))
    return { kind: last as Kind, id, sensor: '' };
  if (first === 'prop' && parts.length === 3 && ['do', 'halt', 'did'].includes(last!))
    return { kind: last as Kind, id, sensor: '' };
  if (first === 'prop' && parts.length === 4 && last === 'sense') return { kind: 'sense', id, sensor };
  return other;
}

/** Topics in the words of the contract. */
export function topicsOf(root: string) {
  return {
    link: (c: string) => `${root}/controller/${c}/link`,
    beat: (c: string) => `${root}/controller/${c}/beat`,
    stopped: (c: string) => `${root}/controller/${c}/stopped`,
    did: (p: string) => `${root}/prop/${p}/did`,
    order: (p: string) => `${root}/prop/${p}/do`,
    halt: (p: string) => `${root}/prop/${p}/halt`,
    sense: (p: string, s: string) => `${root}/prop/${p}/sense/${s}`,
    desk: `${root}/desk`,
    stop: `${root}/stop`,
    heartbeat: `${root}/heartbeat`,
    announce: `${root}/announce`,
  };
}

const encoder = new TextEncoder();

export function bytesOf(message: Message): Uint8Array {
  message.bytes ??= encoder.encode(message.data === null ? '' : JSON.stringify(message.data));
  return message.bytes;
}

/** The object that a text is, or null. */
export function objectOf(text: string): Data | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Data) : null;
  } catch {
    return null;
  }
}
