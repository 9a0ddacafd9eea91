import { MESSAGES, type MessageKind, PAYLOAD_BYTES_MAX } from './contract.ts';
import { type Drop, drop } from './drop.ts';
import { NUMBER_HEARD_MAX } from './intake.ts';
import { readPayload } from './payload.ts';
import { readTopic } from './topics.ts';

/**
 * What others than the desk may publish on the desk's own broker.
 *
 * The embedded broker lives in the desk's process and the desk speaks to it without a connection, so whatever comes
 * in over a connection is from someone else: a board, a phone with an MQTT tool, a guest on the Wi-Fi, a bridge that
 * plays back what it hears. The broker knows no users; it knows the contract. What follows from it:
 *
 * - `do` is refused from everyone. A board takes any `do` that bears the present session, desk and epoch, and all three
 *   can be read on the bus; there is nobody else whose `do` could be meant. A planted one is the one message that moves
 *   a machine, and a retained one would wait for a board to come back.
 * - Nothing is kept that the contract does not retain. A retained `do`, `did`, `beat` or `heartbeat` is an old message
 *   that looks like a new one to whoever subscribes next.
 * - What bears this desk's own word is refused: a heartbeat played back in its name would keep props moving after the
 *   desk itself has hung, which is all that the heartbeat is there to prevent.
 * - `halt` and `notice` are the desk's to say. A `halt` stops only a prop, but it would look like a fault of it; who
 *   wants to stop has `stop`.
 * - `stop`, latched, is everyone's: a stop only ever stops, and a second red button on a board of its own is a good
 *   thing. Cleared, it is the desk's alone, and so is an empty message that would take the retained one away.
 * - `desk`, `heartbeat` and `announce` under another desk's word pass. A higher epoch makes boards let go of their
 *   outputs and makes this desk stand down, as the contract says of two desks anywhere; it moves nothing, since the other
 *   one's `do` is refused here. Numbers beyond all counting are refused, for boards' sake.
 * - `link`, `beat`, `stopped`, `did` and `sense` are the controllers', told apart by topic and session only. Where that
 *   is not enough, an external broker with users and an ACL is the way: see deploy/.
 *
 * A refused message is acknowledged and thrown away (MQTT 3.1.1 [MQTT-3.3.5-2] allows that or cutting the connection):
 * a board's other messages, and its will, are worth more than the lesson.
 *
 * Returns why it is refused, or null.
 */
export function refusePublish(
  rules: { readonly root: string; readonly word: string },
  topic: string,
  payload: Uint8Array,
  retain: boolean,
): Drop | null {
  if (topic.startsWith('$')) return drop('barred', "topics with $ are the broker's own");
  const kind = readTopic(rules.root, topic)?.kind;
  // other topics are nobody's danger; those under the root are told to the desk, which counts them
  if (kind === undefined) return null;
  if (payload.length > PAYLOAD_BYTES_MAX) {
    return drop('too-large', `${payload.length} bytes, at most ${PAYLOAD_BYTES_MAX} are allowed`);
  }
  if (retain && !MESSAGES[kind].retain) return drop('kept', `retained, which a ${kind} never is`);
  if (MESSAGES[kind].by === 'controller') return null;
  return refuseDeskMessage(rules.word, kind, payload);
}

function refuseDeskMessage(word: string, kind: MessageKind, payload: Uint8Array): Drop | null {
  if (kind === 'stop') return refuseStop(payload);
  if (kind !== 'desk' && kind !== 'heartbeat' && kind !== 'announce')
    return drop('barred', `only the desk may say ${kind}`);
  const read = readPayload(kind, payload);
  if (!read.ok) return drop('unreadable', read.why);
  if (read.value.desk === word) return drop('barred', `a ${kind} in this desk's name from someone else`);
  return read.value.epoch > NUMBER_HEARD_MAX
    ? drop('unreadable', `epoch ${read.value.epoch} can't be`)
    : null;
}

function refuseStop(payload: Uint8Array): Drop | null {
  const read = readPayload('stop', payload);
  if (!read.ok) return drop('unreadable', read.why);
  if (!read.value.latched) return drop('barred', 'only the desk may clear a stop');
  return Math.max(read.value.n, read.value.epoch) > NUMBER_HEARD_MAX
    ? drop('unreadable', `stop ${read.value.n} of epoch ${read.value.epoch} can't be`)
    : null;
}
