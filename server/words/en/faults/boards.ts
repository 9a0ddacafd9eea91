import type { FaultWords } from '../../fault-words.ts';
import { listed, quoted } from '../../figures.ts';
import { refusal } from '../refusals.ts';
import { HANDS, MEASURE_CLEAR, moveWord, ON_BENCH, RELEASE_WILL, RELEASE_WONT } from './parts.ts';

const WIFI =
  'On Wi-Fi: switch off the power saving of the board’s radio. It sleeps between messages, which costs a tenth of a second or two at best and the link at worst.';

/** The core's word where a stop was cleared before this board had answered it. */
const NO_STOP_ANSWER = 'did not answer the stop';

export const noAnswer: FaultWords = {
  seen: (f, w) =>
    f.why === NO_STOP_ANSWER
      ? 'Its board did not answer the stop. Once it does, it is back in service by itself.'
      : `Told ${moveWord(f)} twice, and no 'started' came up to ${w.context.clock(f.at)}.`,
  look: () => "at its board's lamp, then at its supply",
  causes: () => [
    'The board hears, but its program is stuck or busy: it waits inside a routine instead of reading its messages.',
    'The messages to it are lost: weak Wi-Fi, or a radio that saves power.',
    "The board is not subscribed to this prop's orders: another id or root in its program than in the yard file.",
    'The board restarts each time it switches the motor on: its supply browns out.',
  ],
  checks: () => [
    'Look at its row on the page: heard or not heard, and since when.',
    'Stand clear. Switch the board off, wait 5 s, switch it on, and see that it comes back.',
    `From out of reach, move it ${ON_BENCH}. Watch the board: does it restart as the motor starts?`,
    'Compare the ids in its program with the yard file, letter by letter.',
    'After the night, with the yard computer ended, have it examined: `dusklatch exam CONTROLLER --file FILE` tells which duty it fails.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'It was told to move, twice, and its board said nothing at all.',
    rule: "No 'started' after the order, which is repeated once after 1 s under the same number, so that a board that did hear the first does nothing twice. Given up after 2 s.",
    now: 'A halt is sent in case it moves all the same, and it is locked out. Scenes without it go on.',
    find: [
      WIFI,
      'Two supplies, one for the motor and one for the board, with their minus joined, cure most restarts.',
    ],
    prevent:
      'Never wait inside the loop of the board. Start things, return, and look again the next time round.',
  },
};

export const refused: FaultWords = {
  seen: (f) => `Told ${moveWord(f)}, but ${refusal(f.why ?? '')}.`,
  look: () => "at the moves in the board's program, then at the yard file",
  causes: (f) =>
    f.why === 'busy'
      ? [
          'The board still thinks that it moves: it missed the end of the last move, or never says done.',
          'Somebody moves it with a button of its own.',
          'The board has two props and counts them as one.',
        ]
      : [
          "The yard file names a move that the board's program does not have, or spells it differently.",
          'The board has old firmware.',
          'The board has the program of another prop.',
        ],
  checks: (f) =>
    f.why === 'busy'
      ? [
          'Look whether it moves. If it does, keep clear.',
          'Stand clear. Switch the board off and on: it must come back at rest.',
          'Find in its program where it says done, and whether it always gets there.',
        ]
      : [
          'Compare the names of the moves in its program with the yard file, letter by letter.',
          'Look at the firmware that it reports on its page.',
          'After the night, with the yard computer ended, have it examined: `dusklatch exam CONTROLLER --file FILE`.',
        ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Its board heard the order and said no, in a way that should not happen.',
    rule: 'The board refused with `unknown` or `busy`. Other refusals, such as that it has only just come back, end the run without a lockout.',
    now: 'Nothing moves there. It is locked out until a person has looked. Scenes without it go on.',
    find: ['A name is matched to the letter: `out` and `Out` are two moves.'],
    prevent: 'After each change to a board or to the yard file, run the exam before you open.',
  },
};

/** Causes that the yard computer itself puts down as `why`; any other is the board's own word and is quoted. */
const OWN_WORDS = new Map<string, (move: string) => string>([
  ['', (move) => `Its board gave ${move} up.`],
  ['no reason given', (move) => `Its board gave ${move} up without a reason.`],
  ['halted by itself', (move) => `Its board halted ${move}, and nobody had told it to.`],
  ['arrived but never said done', (move) => `It arrived, but its board never said that ${move} is done.`],
]);

export const failed: FaultWords = {
  seen: (f) => {
    if (f.sensor !== undefined)
      return `Its board said that ${moveWord(f)} is done, but ${f.sensor} is not made.`;
    return (
      OWN_WORDS.get(f.why ?? '')?.(moveWord(f)) ??
      `Its board gave ${moveWord(f)} up and says ${quoted(f.why!)}.`
    );
  },
  look: (f) =>
    f.sensor === undefined ? "up the board's word, then at what it watches" : `at the ${f.sensor} sensor`,
  causes: (f) =>
    f.sensor === undefined
      ? [
          'What the board itself watches went wrong: its own current, temperature, position or switch.',
          'A part that it drives is unplugged or stuck.',
        ]
      : [
          'The board ended the move by its own clock instead of waiting for the sensor.',
          'The sensor was made for a moment only: it ran past, or bounced back.',
          'The reading of the sensor was lost on the way.',
        ],
  checks: (f) =>
    f.sensor === undefined
      ? [
          "Read the board's own messages over its cable.",
          HANDS,
          `With its power off, see that all its plugs are home. Then stand clear and move it ${ON_BENCH}.`,
        ]
      : [
          'See where it stands: past the sensor, short of it, or in it.',
          HANDS,
          `Put a blade into the gap of the ${f.sensor} sensor and watch its mark on the page.`,
          "Find in the board's program what ends the move: it must be the sensor.",
        ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Its board began the move and then said that it went wrong, or said done when the sensor says otherwise.',
    rule: "The board's word `failed` with a reason of its own, or its word `done` while the sensor that ends the move is not made.",
    now: 'It is locked out. Scenes without it go on.',
    find: [
      "The board's word is shown as it came. What it means is in the board's program.",
      'If it runs past its sensor, make the blade as long as the way it coasts, or stop the motor sooner.',
    ],
    prevent: 'Let the board say why in a word that you still understand at nine at night in the cold.',
  },
};

export const linkLost: FaultWords = {
  seen: (f, w) => {
    const when = w.context.clock(f.at);
    if ((f.times ?? 1) >= 3) return `Its board was lost ${f.times} times within 10 min, last at ${when}.`;
    const during = f.move === undefined ? 'in the middle of a run' : `in the middle of ${moveWord(f)}`;
    return `Its board was lost at ${when}, ${during}. Once it is heard and home it is used again by itself.`;
  },
  look: () => 'at the power of its board, then at its Wi-Fi',
  causes: () => [
    'The board lost power or restarted: the supply browns out as the motor starts, or a plug is loose.',
    'Weak Wi-Fi: too far, wet leaves and people in between, a crowd of phones on the same channel.',
    'The radio of the board saves power and sleeps.',
    "The program of the board stands still for longer than the yard's `silence`.",
    'The program of the bus or the access point restarted. Then others were lost in the same moment.',
  ],
  checks: () => [
    'Were others lost in the same moment? Then look at the access point and the program of the bus, not at the board.',
    'It comes back into service by itself: take it out of service before you go near it.',
    HANDS,
    'Look at the lamp of the board, then at its plug.',
    `Measure its supply while the motor starts. ${MEASURE_CLEAR} ${ON_BENCH}. A 5 V board must not see less than 4.7 V.`,
    'Look at the signal strength on the board; stand there with a phone.',
    'Switch off the power saving of its radio in its program.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'In the middle of a run the yard computer no longer heard its board, or the board began anew.',
    rule: "Nothing from the board within the yard's `silence`, its last will on the bus, or a fresh start of the board in mid-run. What a stop or the yard computer's own pause causes does not count.",
    now: 'The run ends and is tidied. The board switches its outputs off by itself when it no longer hears the yard computer. This is the one fault that passes without a person: once heard and home again it is used as before. Three within ten minutes lock it out.',
    find: [
      WIFI,
      'A board that restarts whenever its motor starts has a supply problem, not a network problem.',
    ],
    prevent:
      'An access point of the yard’s own, high up, on a quiet channel, without guests on it. A capacitor of 1000 µF or so at each board. A cable where a cable can go.',
  },
};

export const twoBoards: FaultWords = {
  seen: (f) => {
    const who = f.controllers ?? [];
    const named = listed([...new Set(who)].map((c) => `'${c}'`));
    return new Set(who).size > 1
      ? `Boards ${named} both say that they drive it.`
      : `Two boards speak under one name${named === '' ? '' : `, ${named}`}.`;
  },
  look: () => 'for a second board with the same name',
  causes: () => [
    'A spare board with the same program was switched on.',
    'A new board was given the name of an old one, and the old one is still running.',
    'The yard file has moved the prop to another board, and the old board still names it.',
  ],
  checks: () => [
    'Stand clear: either may move it. Count the boards. Switch off the one that should not be there.',
    'Look at the firmware and the name that each reports.',
    'Switch the right board off and on, and see that it alone comes back.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Two boards want to drive the same prop. Two motors may answer one order.',
    rule: 'Two boards name the prop in their links, or two boards take turns under one name.',
    now: 'It is halted and locked out. Orders to it are not sent.',
    find: [
      'Under one name on the bus two boards throw each other out, again and again: both seem to come and go every second.',
    ],
    prevent: 'Write the name of each board on it in ink. Keep spares unpowered and without a name.',
  },
};
