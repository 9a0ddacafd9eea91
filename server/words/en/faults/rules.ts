import type { Fault } from '../../../show/reasons.ts';
import type { FaultWords } from '../../fault-words.ts';
import { quoted, upper } from '../../figures.ts';
import type { Words } from '../../words.ts';
import { HANDS, moveWord, ON_BENCH, RELEASE_WILL, RELEASE_WONT } from './parts.ts';

/** What the core saw of the need (`why`), after 'at 21:14:20'. */
function wentAway(f: Fault, w: Words): string {
  if (f.need === undefined || f.why === undefined) return 'that went away';
  if (f.why === 'silent') return `${w.prop(f.need.prop)} was no longer heard`;
  return f.why === 'unknown' ? 'its reading was no longer fresh' : 'that went away';
}

export const interlockLost: FaultWords = {
  seen: (f, w) => {
    const need = f.need === undefined ? 'what it needed' : w.need(f.need);
    return `${upper(moveWord(f))} needs ${need}, and at ${w.context.clock(f.at)} ${wentAway(f, w)}. It was halted.`;
  },
  look: (f, w) => (f.need === undefined ? 'at what it needed' : `at ${w.prop(f.need.prop)} first`),
  causes: () => [
    'The prop it relied on moved, was pushed, or lost its sensor.',
    'The board of the other prop was lost for a moment, so that its sensor could no longer be trusted.',
    'The sensor that the need names flutters.',
  ],
  checks: () => [
    'Read the fault of the other prop: it came first.',
    'See where the other prop stands, and whether its end is still made.',
    'See that nothing of this prop is caught in the other, before either moves.',
    `${HANDS} That holds for both props.`,
  ],
  releaseWill:
    'Releasing the other prop releases this one with it. Alone it can be released when there is no fault on the other.',
  releaseWont: RELEASE_WONT,
  page: {
    means: 'It was moving on the strength of something that had to stay true, and that stopped being true.',
    rule: 'A need of the move (`needs` in the yard file) failed between its start and its end: a sensor went, a prop it wanted at rest moved, or its reading is no longer fresh.',
    now: 'It is halted in the same moment and locked out, grouped under the fault of the prop it relied on.',
    find: [
      'The cause is almost always with the other prop. Mend that one. Then look whether the halt has left this one in an awkward pose.',
    ],
    prevent:
      'Something that holds the other prop firmly at its end: a worm gear, a magnet, a dip in the track.',
  },
};

export const deadHalt: FaultWords = {
  seen: (f, w) =>
    `No answer to a halt within 1.0 s at ${w.context.clock(f.at)}, so the whole yard was stopped. If it still moves, press the red button or pull its plug.`,
  look: () => 'whether it still moves, then at its relay or driver',
  causes: () => [
    'A relay is stuck or its contacts are welded: the board switches off and the motor runs on.',
    'The driver has shorted.',
    'The program of the board stands still with the output on.',
    'The link to the board was lost just then, and the board is at rest by itself.',
  ],
  checks: () => [
    'Keep clear. See whether it moves or hums. If it does, press the red button or pull its plug.',
    HANDS,
    'With its power off, measure across the relay contact or the driver: open means good, closed means welded.',
    'Look at the lamp of the board, and whether it is heard on the page.',
    `With the motor still unplugged, move it ${ON_BENCH}. Halt it: the output must go off at once.`,
    'After the night, with the yard computer ended, have it examined: `dusklatch exam CONTROLLER --file FILE` tries the halt.',
  ],
  releaseWill: `The stop is cleared first, and separately. Then: ${RELEASE_WILL.charAt(0).toLowerCase()}${RELEASE_WILL.slice(1)}`,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'It was told to halt and nobody knows whether it did. That is the one fault that stops everything.',
    rule: 'A halt is sent again every 250 ms. Neither `halted` nor `done` nor a fresh start of the board within 1 s.',
    now: 'Stop for the whole yard, which holds until a keeper clears it. The prop is locked out.',
    find: [
      'Electronics that fail often fail closed. A message can’t open a welded contact. Only a switch in the motor’s supply can, and that is what the red button is for.',
      'If the motor was at rest and the board was merely lost, treat it as a lost board: power, supply, Wi-Fi.',
    ],
    prevent:
      'Relays and drivers rated for the surge of the motor. A watchdog on the board that restarts it, with outputs that are off while it starts. A red button that cuts motion power and air, tested before each night.',
  },
};

export const byHand: FaultWords = {
  seen: (f, w) => {
    const why =
      f.why === undefined || f.why.trim() === '' ? 'No reason was given.' : `Reason: ${quoted(f.why)}.`;
    return `Taken out at ${w.context.short(f.at)} by a person. ${why}`;
  },
  look: (f) =>
    f.why === undefined || f.why.trim() === '' ? 'for who took it out' : 'into the reason that was given',
  causes: () => [
    'Somebody took it out of service, to work on it or because they did not like what they saw.',
  ],
  checks: () => [
    'Ask who did it whether they are finished and clear of it.',
    'See that guards are back on and tools are out.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Moves nothing by itself and clears no stop. It is refused only while its sensors contradict each other.',
  page: {
    means: 'A person took it out of service on its page.',
    rule: 'Only a person does this, and gives a reason. It lasts through restarts and nights until a person releases it.',
    now: 'It is not planned, not moved and not homed. A keeper can still move it on the bench.',
    find: [
      'Out of service on the page is no lock on the machine. Who works on it also cuts its power and lets its air out, and keeps the plug where they can see it.',
    ],
    prevent: 'Write a reason that the next person understands, and your name if it is not clear.',
  },
};
