import type { Mode } from '../../../show/reasons.ts';
import { left, listed, quoted } from '../../figures.ts';
import type { SomeSentences } from '../../words.ts';
import { does, whose } from '../names.ts';

/** The mode as the page says it, after 'the yard is'. */
export const MODE_WORDS: Readonly<Record<Mode, string>> = {
  closed: 'closed',
  opening: 'opening',
  open: 'open',
  held: 'held',
  closing: 'closing',
  stopped: 'stopped',
};

const MODE_TODO: Readonly<Record<Mode, string>> = {
  closed: 'Press Open first.',
  opening: 'Wait until it is open.',
  open: 'Press Hold or Close first.',
  held: 'Press Open to go on.',
  closing: 'Wait until it is closed.',
  stopped: 'Deal with the cause of the stop, then clear it.',
};

/** Why a command can't be: the yard as a whole, its stop stations, its link, its hours, a prop's standing. */
export const BARS = {
  mode: ({ mode }) => [`the yard is ${MODE_WORDS[mode]}`, MODE_TODO[mode]],
  stopped: ({ stop }) => [
    `stop no. ${stop} holds until a keeper clears it`,
    'Deal with its cause, walk the yard, then clear it. Clearing moves nothing.',
  ],
  'already-open': ({ mode }) => `the yard is already ${MODE_WORDS[mode]}`,
  'nothing-to-clear': () => 'no stop holds, so there is nothing to clear',
  'station-in': ({ prop }, w) => [
    `${does(w, prop, 'is')} pressed in`,
    'Find out who pressed it and why. Then turn or pull the button out.',
  ],
  'not-answered': ({ prop }, w) => [
    `${w.prop(prop)} has not answered the stop yet`,
    'It comes back by itself once its board answers. Look at its power and its link.',
  ],
  'station-silent': ({ prop }, w) => [
    `${does(w, prop, 'is')} not heard`,
    'A stop button that nobody hears counts as pressed. Look at the power of its board, then at its link.',
  ],
  'station-not-heard': ({ prop }, w) => [
    `${does(w, prop, 'has')} not been heard since the yard computer started`,
    'Wait 10 s. If it stays so, look at the power of its board.',
  ],
  'newer-trouble': ({ prop }, w) => [
    prop === null
      ? 'there was a new stop or fault after what you last saw'
      : `${does(w, prop, 'has')} had new trouble since what you last saw`,
    'Look again, then decide again.',
  ],
  'no-bus': () => [
    'the yard computer has no link to the bus, so no prop hears it',
    'See whether the program of the bus runs (its address stands under `bus` in the yard file), then look at the network. If something still moves, press the red button.',
  ],
  'stands-down': ({ desk }) => [
    `another yard computer (${quoted(desk)}) drives this yard`,
    'Switch one of the two off. This one goes on by itself when the other is silent.',
  ],
  'record-failing': ({ why }) => [
    `the record can't be written (${why.trim().replace(/\.$/, '')})`,
    'Make room on the disk or change it. Nothing new moves until the record can be written; a stop works all the same.',
  ],
  'outside-hours': () => ["it is outside tonight's hours", 'Say for how long to open, such as 2 h.'],
  'no-night': () => ['no night is planned now', 'Say for how long to open, such as 2 h.'],
  'locked-out': ({ prop, fault }, w) =>
    fault === 'by-hand'
      ? [`${does(w, prop, 'is')} out of service`, 'Somebody did that by hand. Ask them, then release.']
      : [
          `${does(w, prop, 'is')} locked out`,
          'Read the fault, mend the cause, then release. Release moves nothing.',
        ],
  'not-locked-out': ({ prop }, w) => `${does(w, prop, 'is')} not locked out, so there is nothing to release`,
  'still-contradicts': ({ prop, sensors }, w) => [
    sensors.length === 1
      ? `${w.sensor(prop, sensors[0]!)} still contradicts the rest`
      : sensors.length === 0
        ? `${whose(w, prop)} sensors still contradict each other`
        : `${whose(w, prop)} sensors ${listed(sensors)} still contradict each other`,
    'Mend the sensor, its supply or its wire first.',
  ],
  'follows-other': ({ prop, first }, w) => [
    `${whose(w, prop)} trouble came from ${w.prop(first)}`,
    `Release ${w.prop(first)}: ${does(w, prop, 'is')} released with it.`,
  ],
  'two-boards-still': ({ prop }, w) => [
    `two boards still speak for ${w.prop(prop)}`,
    'Switch off the one that should not be there and wait 10 s.',
  ],
  silent: ({ prop }, w) => [
    `${does(w, prop, 'is')} not heard`,
    'Look at the power of its board, then at its Wi-Fi or cable.',
  ],
  'position-unknown': ({ prop }, w) => [
    `it is not known where ${does(w, prop, 'stands')}`,
    'Opening brings it home. So can a keeper on the bench.',
  ],
  'not-at-home': ({ prop }, w) => [
    `${does(w, prop, 'is')} not at home`,
    'Opening brings it home. So can a keeper on the bench.',
  ],
  'no-homing-move': ({ prop }, w) => [
    `${does(w, prop, 'stands')} away from home and no single move leads there`,
    'Name the move with `home-move` in the yard file, or bring it home on the bench.',
  ],
  'set-aside': ({ prop, why }, w) => [
    why === null
      ? `${does(w, prop, 'was')} set aside, since homing was not possible`
      : `${does(w, prop, 'was')} set aside, since homing was not possible: ${w.clause(why)}`,
    'Put that right. Homing is tried again when a scene next wants it.',
  ],
  'too-soon-after-link': ({ prop, forMs }, w) =>
    `${does(w, prop, 'has')} only just come back: no move for ${left(forMs)} more`,
} satisfies SomeSentences;
