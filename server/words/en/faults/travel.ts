import type { Fault } from '../../../show/reasons.ts';
import type { FaultWords } from '../../fault-words.ts';
import { count, measured, upper } from '../../figures.ts';
import type { Words } from '../../words.ts';
import {
  end,
  HANDS,
  MEASURE_CLEAR,
  moveWord,
  ON_BENCH,
  RELEASE_WILL,
  RELEASE_WONT,
  theSensor,
} from './parts.ts';

/** Below this share of its usual time no real journey can have happened. Must agree with the core's rule. */
const TOO_SHORT = 0.4;

function usual(f: Fault): string {
  return f.usualMs === undefined ? '' : ` (usual ${measured(f.usualMs)})`;
}

/** `Left near at 21:13:58` or, where it is not known when, `Told 'out'`. */
function departure(f: Fault, w: Words): string {
  if (f.other === undefined || f.leftAt === undefined) return `Told ${moveWord(f)}`;
  return `Left ${f.other} at ${w.context.clock(f.leftAt)}`;
}

function after(ms: number | undefined): string {
  return ms === undefined ? 'in time' : `after ${measured(ms)}`;
}

export const travelSlow: FaultWords = {
  seen: (f, w) =>
    `${departure(f, w)}, ${end(f.sensor, 'the other end')} not made ${after(f.limitMs ?? f.tookMs)}${usual(f)}.`,
  look: () => 'for a jam, then the belt',
  causes: (f) => [
    'Something is in the way: a stone or a cable in the track, cloth or reeds caught, the figure touching its frame.',
    'The belt slipped or jumped teeth, or the set screw of its pulley is loose on the shaft.',
    'A wheel is off the rail, or the track has warped in the damp.',
    'The supply is weak: a low battery, a long thin cable, a green connector. Cold, thick grease does the same.',
    `It did arrive, but ${theSensor(f.sensor, 'the sensor there')} did not see it: the blade is bent and misses the gap, sun shines in, or a wire is off.`,
    'On air: low pressure, a kinked hose, a throttle screwed shut, water frozen in the valve.',
  ],
  checks: (f) => [
    'See where it stands. Halfway: something holds it. At the end: look at the sensor there.',
    HANDS,
    'With its power off, push it by hand along the whole way. It should run freely and evenly.',
    'With its power off, press the belt with a thumb. Turn the motor pulley by hand: the carriage must follow at once.',
    `Put a blade or a strip of card into the gap of ${theSensor(f.sensor, 'the end sensor')} and watch its mark on the page change.`,
    `Measure the supply at the motor while it pulls. ${MEASURE_CLEAR} ${ON_BENCH}. More than a tenth below its nominal voltage is too little.`,
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'It set off from one end and did not show up at the other within the time you allowed it.',
    rule: "The time counts from the board's word that it started, or from the first change of a sensor, whichever is sooner, up to the `limit` of the move. The board watches the same limit by itself. If it is the board that says so first, it is the same fault.",
    now: 'It is halted and locked out. What the scene still needs to be tidy is done by the other props. Scenes without it go on.',
    find: [
      'Where it stands tells most. Halfway along it was held or had no pull. At the far end it arrived and was not seen. Back at the start the motor turned the wrong way.',
      'If it happens only in the cold part of the night, think of grease and batteries. If it happens only when other props run, think of the supply and its cable.',
    ],
    prevent:
      'Look at the travel times on its page once a week. A belt that wears shows as a slow climb long before it fails. A `limit` of one and a half to two times the usual time catches a jam without false alarms.',
  },
};

export const noDeparture: FaultWords = {
  seen: (f) =>
    `Told ${moveWord(f)}, did not leave ${end(f.other ?? f.sensor, 'its end')}: still made ${f.tookMs === undefined ? 'too long' : after(f.tookMs)}${usual(f)}.`,
  look: () => "for a jam at that end, then the motor's supply, then its driver",
  causes: (f) => [
    'The motor got no power: its supply is off, a fuse is blown, a plug has come out.',
    'It is jammed against its stop, or frozen or rusted to it.',
    'The driver is faulty or has shut itself down from heat.',
    'The motor turns but the belt or the pulley does not follow.',
    `It left, but the blade stayed behind in ${theSensor(f.other ?? f.sensor, 'the sensor')}: bent, broken off, or a leaf in the gap.`,
    'On air: no pressure at the valve, or the coil of the valve gets no current.',
  ],
  checks: (f) => [
    `Listen from out of reach while a keeper moves it ${ON_BENCH}: a hum means held, a whirr means the drive slips, silence means no power.`,
    HANDS,
    "Look at the motor's supply: fuse whole, plugs home; its lamp, once all are clear and it is on again.",
    `Look into the gap of ${theSensor(f.other ?? f.sensor, 'the end sensor')}: only the blade may be in it.`,
    'With its power off, push it a hand’s width away from its stop.',
    'With its power off, feel the driver: too hot to hold means overload or no air to cool it.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'It was told to move and, as far as its sensors tell, stayed where it was.',
    rule: 'Its end is still made after a third of the usual time, and after 1 s at least.',
    now: 'It is halted and locked out, so that a stalled motor does not cook. Scenes without it go on.',
    find: [
      'A stalled motor draws several times its running current. If the breaker or the fuse has gone too, look for the jam before you put in a new one.',
      'If the carriage has in fact moved, the trouble is the sensor: with a slot sensor and a pull-up, a dark lamp or a cut wire reads as made for ever.',
    ],
    prevent:
      'Let the carriage meet a soft stop just past the sensor, not a hard one. Give the driver a heat sink and a place where air moves.',
  },
};

export const travelShort: FaultWords = {
  seen: (f) => {
    const there = upper(end(f.sensor, 'the other end'));
    const took = f.tookMs === undefined ? 'too soon' : `${measured(f.tookMs)}`;
    const left = end(f.other, 'the first end');
    const least =
      f.usualMs === undefined ? '' : `, and less than ${measured(f.usualMs * TOO_SHORT)} can't be true`;
    return `${there} made ${took} after ${left} was left${usual(f)}${least}.`;
  },
  look: (f) => `into the gap of ${theSensor(f.sensor, 'that sensor')}, then its wires`,
  causes: (f) => [
    `Something other than the blade is in the gap of ${theSensor(f.sensor, 'the sensor')}: a leaf, a cobweb, a cable tie, fog fluid.`,
    'The sensors lose their supply as the motor starts: their lamps go dark for a moment, and dark reads as made.',
    'A wire is loose and opens when the carriage shakes it.',
    'Sun or a lamp shines on a sensor of the kind that reads made when it sees light.',
    'The two sensors are swapped, or the motor is wired the wrong way round, since the last work on it.',
    'The drive is faster than the file says: another pulley, a higher voltage.',
  ],
  checks: (f) => [
    HANDS,
    `Look into the gap of ${theSensor(f.sensor, 'the sensor')} with a torch and blow it clean.`,
    'Watch its mark on the page while you wiggle the cable and both plugs.',
    `Measure the sensors' supply while the motor starts. ${MEASURE_CLEAR} ${ON_BENCH}. Feed sensors and motor apart if it dips.`,
    'Cover the sensor with your hand against the light and watch its mark.',
    'With power off, carry the carriage from end to end and see that near means near.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'It seemed to be at the other end sooner than it can travel.',
    rule: 'The other end was made in less than 40 % of the usual time. Journeys that only bring it home are not judged.',
    now: 'It is halted and locked out, since one of its sensors is not telling the truth and nobody can say which.',
    find: [
      'A slot sensor has a lamp on one side and an eye on the other. With the usual pull-up the eye reads about 0 V when it sees the lamp and the full 5 V when the blade is between, when the lamp is dark, or when a wire is cut. So most failures read as made.',
      'If you changed the pulley or the voltage, nothing is wrong: measure the new time and write it as `usual` in the yard file.',
    ],
    prevent:
      'Put the sensors under a small hood, and give them a supply of their own with a capacitor across it.',
  },
};

export const overrun: FaultWords = {
  seen: (f) => `${upper(moveWord(f))} not done ${after(f.limitMs ?? f.tookMs)}${usual(f)}.`,
  look: () => 'whether it still moves, then at its board',
  causes: () => [
    'Its routine waits for something that does not come: a switch of its own, a position, a sound that has not ended.',
    'A motor or a servo in it is stuck, so that a step of the routine never ends.',
    'The board is busy with other things, such as sound from a slow card, and runs late.',
    'The routine was made longer, and the yard file still has the old time.',
  ],
  checks: () => [
    'See which part of the routine it stands in. If it still moves, keep clear.',
    HANDS,
    'With its power off, move each joint by hand and feel for the stiff one.',
    "Read the board's own messages over its cable.",
    `Time the routine ${ON_BENCH}. Compare it with \`lasts\` and \`limit\` in the yard file.`,
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Its routine should have ended by itself and did not.',
    rule: 'No word from the board that it is done, up to the `limit` of the move. Without a `limit` in the file that is one and a half times `lasts`, and 2 s more.',
    now: 'It is halted and locked out. What needs it at rest does not start. Scenes without it go on.',
    find: [
      `Run it alone ${ON_BENCH}. If it ends in time there, something in the yard slows it: a sagging supply, a busy network, cold.`,
    ],
    prevent: 'Give every step of a routine a time after which it goes on or gives up.',
  },
};

function within(nights: number): string {
  return nights < 1 ? 'tonight' : `in ${count(nights, 'night')}`;
}

export const drift: FaultWords = {
  seen: (f) => {
    const now = f.tookMs === undefined ? 'takes longer' : `takes ${measured(f.tookMs)} now`;
    const limit = f.limitMs === undefined ? '' : `; its limit is ${measured(f.limitMs)}`;
    const nights = f.nights === undefined ? '' : ` At this rate it reaches the limit ${within(f.nights)}.`;
    return `${upper(moveWord(f))} ${now}${usual(f)}${limit}.${nights}`;
  },
  look: () => 'at the belt, then the wheels, then the supply',
  causes: () => [
    'The belt has stretched or worn and slips a little on each start.',
    'Wheels, rail or bearings are dirty, dry or rusty.',
    'A battery is near its end, or a connector has corroded.',
    'The nights have grown colder and the grease thicker.',
    'On air: a slow leak, a filter full of water.',
  ],
  checks: () => [
    'It is still in service and may start at any moment: take it out of service first.',
    HANDS,
    'With its power off, push it along the whole way and feel for the heavy stretch.',
    'Tighten the belt until it gives a finger’s width in the middle, and look for missing teeth.',
    'Clean rail and wheels; a drop of dry lubricant.',
    `Measure the supply at the motor while it runs. ${MEASURE_CLEAR} ${ON_BENCH}.`,
  ],
  releaseWill: 'There is nothing to release: this is a warning, and it goes on running.',
  releaseWont: 'Seeing to it moves nothing. The warning goes by itself once the times are back.',
  page: {
    means: 'It still arrives in time, but a little later from night to night.',
    rule: "At each night's end the middle of its travel times is put beside those of up to eleven nights before. The warning comes where they rise by more than their own scatter and would reach the `limit` within twenty nights at that rate. A night counts from three journeys up, and it takes six nights to tell. Journeys home and on the bench do not count.",
    now: "It goes on running. The warning stands on its page and in the report, with the nights that are left, and is said again at each night's end while it lasts.",
    find: [
      'Look at the chart on its page. A steady climb is wear. A step up on one night is something that happened that night. A climb in both directions alike is friction or supply; in one direction only it is slope or a catch.',
    ],
    prevent: 'Put `service-every` into the yard file, and clean and tighten at that count.',
  },
};
