import { ID_PATTERN, MESSAGE_KINDS, MESSAGES, type MessageKind } from './contract.ts';

/** A topic taken apart. `ids` are those of its path, in order: controller; or prop; or prop and sensor. */
export interface Address {
  readonly kind: MessageKind;
  readonly ids: readonly string[];
}

/** Topic of a message, its ids in the order of its path: `topicOf('yard', 'sense', 'ferry', 'far')`. */
export function topicOf(root: string, kind: MessageKind, ...ids: readonly string[]): string {
  let at = 0;
  return `${root}/${MESSAGES[kind].path.replace(/\{[a-z]+\}/g, () => ids[at++] ?? '')}`;
}

/** Filter that matches every message of this kind: `yard/prop/+/did`. */
export function filterOf(root: string, kind: MessageKind): string {
  return `${root}/${MESSAGES[kind].path.replace(/\{[a-z]+\}/g, '+')}`;
}

const PATHS = MESSAGE_KINDS.map((kind) => ({ kind, parts: MESSAGES[kind].path.split('/') }));

/** Topics read before: a yard has a few hundred, each of which comes again and again. */
const READ_MOST = 4096;
const readBefore = new Map<string, { readonly root: string; readonly address: Address }>();

/** Takes a topic apart; null where it is none of the contract's under this root, or an id in it is none. */
export function readTopic(root: string, topic: string): Address | null {
  const before = readBefore.get(topic);
  if (before !== undefined && before.root === root) return before.address;
  const address = takeApart(root, topic);
  if (address === null) return null;
  // whoever makes up topics costs us the reading, not the memory
  if (readBefore.size >= READ_MOST) readBefore.clear();
  readBefore.set(topic, { root, address });
  return address;
}

function takeApart(root: string, topic: string): Address | null {
  if (!topic.startsWith(`${root}/`)) return null;
  const parts = topic.slice(root.length + 1).split('/');
  for (const path of PATHS) {
    const ids = match(path.parts, parts);
    if (ids !== null) return { kind: path.kind, ids };
  }
  return null;
}

function match(path: readonly string[], parts: readonly string[]): string[] | null {
  if (path.length !== parts.length) return null;
  const ids: string[] = [];
  for (const [at, wanted] of path.entries()) {
    const part = parts[at]!;
    if (!wanted.startsWith('{')) {
      if (part !== wanted) return null;
    } else if (ID_PATTERN.test(part)) {
      ids.push(part);
    } else {
      return null;
    }
  }
  return ids;
}
