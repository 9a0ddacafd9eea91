import type { FaultWords } from '../../fault-words.ts';
import { count, upper } from '../../figures.ts';
import { end, HANDS, RELEASE_WILL, RELEASE_WONT, theSensor } from './parts.ts';

const PULL_UP =
  'A slot sensor has a lamp on one side and an eye on the other. With the usual pull-up it reads about 0 V when the eye sees the lamp, and the full 5 V when the blade is between, when the lamp is dark, or when a wire is cut. So a lost supply or a broken wire reads as made.';

export const bothEnds: FaultWords = {
  seen: (f, w) =>
    `${upper(end(f.sensor, 'one end'))} and ${end(f.other, 'the other')} seen made at once at ${w.context.clock(f.at)}. It can only be at one.`,
  look: () => "at the sensors' supply, then for a broken wire",
  causes: () => [
    'The supply of the sensors is gone: their lamps are dark, and dark reads as made.',
    'A wire of one sensor is broken or a plug is out, while it stands at the other.',
    'Something is in the gap of one: a leaf, a cobweb, a second blade.',
    'Two wires touch: a pinched cable, water in a box, a slip of solder.',
    'The board reads the wrong pin since the last change to it.',
  ],
  checks: () => [
    HANDS,
    "Measure the sensors' supply at the sensors, not at the board: 5 V, or what yours want.",
    'Look at both lamps through a phone camera; many show infrared as a pale glow.',
    'Pull the plug of one sensor, then of the other, and watch the marks on the page.',
    'Blow both gaps clean.',
    'Open the box at the carriage and look for water and green copper.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Is refused while both ends are still made. It moves nothing by itself, and it does not choose which sensor to believe.',
  page: {
    means: 'Both ends of its way say that it is there. One of them, or both, is not telling the truth.',
    rule: 'Two sensors marked `end` in the yard file were made at the same time, by fresh readings. Moving or at rest makes no difference.',
    now: 'It is halted at once if it moves, and locked out. Nothing that needs it at an end starts.',
    find: [
      PULL_UP,
      'Both made with the carriage in the middle: the supply, almost always. One made all the time: that sensor, its wire or its gap.',
    ],
    prevent:
      'Lead the supply to the sensors in the same cable and plug as their signals, with a knot or a clamp before the plug.',
  },
};

export const endLost: FaultWords = {
  seen: (f, w) =>
    `Stood at ${end(f.sensor, 'its end')}, which went away at ${w.context.clock(f.at)} without a command.`,
  look: () => 'whether somebody pushed it, then at its stop and its blade',
  causes: () => [
    'Somebody or something pushed it: a guest, an animal, the wind.',
    'It coasted past the sensor: more speed, less friction, a wet rail.',
    'It rolled: the track is not level, or the belt lets go when the motor is off.',
    'The blade has slipped, or sits so that it only just reaches into the gap.',
    'Sun or a strong lamp shines through the gap.',
    'On air: it leaked away and the cylinder sank.',
  ],
  checks: (f) => [
    'See who or what is near it. If it is a guest, press STOP ALL first.',
    `See where it stands: short of ${theSensor(f.sensor, 'its sensor')}, or past it.`,
    HANDS,
    'Push it lightly at its end: it should come to rest there again.',
    'See that the blade stands in the middle of the gap at rest.',
    'Watch its mark on the page while you shade the sensor with a hand.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Moves nothing by itself. It does not bring it back to its end: the next run that wants it does, after a pause.',
  page: {
    means: 'It stood at an end, nobody told it to go, and the sensor says that it has gone.',
    rule: 'Judged only while the yard opens, is open or closes, and only for a prop in service. At other times people move things by hand, and its place on the page just follows its sensors.',
    now: 'It is locked out. A figure that needs it there is halted in the same moment.',
    find: [
      'If it is past the sensor, it coasted: let the motor stop sooner, brake it, or make the blade longer. A blade as long as the way it coasts stays in the gap wherever it comes to rest.',
      'If it stands well in the gap, the sensor lost sight of the blade: look at the light and at the plug.',
    ],
    prevent:
      'Give it something that holds it at rest: a worm gear, a brake, a magnet, a dip in the track at each end.',
  },
};

export const chatter: FaultWords = {
  seen: (f, w) =>
    `${upper(end(f.sensor, 'an end'))} changed ${count(f.edges ?? 7, 'time')} within 2 s, up to ${w.context.clock(f.at)}; more than 6 is not a passing blade.`,
  look: (f) => `at the gap of ${theSensor(f.sensor, 'that sensor')} and its blade, then at its plug`,
  causes: () => [
    'The blade grazes the edge of the gap, or trembles in it at rest.',
    'The sensor has come loose or the gap is out of line with the blade.',
    'Low sun or a flickering lamp shines into the gap.',
    'A plug or a wire makes bad contact when it shakes.',
    'The motor lead runs beside the sensor lead and disturbs it.',
  ],
  checks: () => [
    HANDS,
    'Move the blade slowly through the gap by hand and watch the mark on the page: one change in, one change out.',
    'See that the blade clears both sides of the gap. A gap of a quarter inch (6.35 mm) leaves room.',
    'Wiggle the plug and the cable.',
    'Shade the sensor with your hand.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'An end sensor went on and off many times in a moment.',
    rule: 'More than 6 changes of a sensor marked `end` within 2 s. Sensors of the plain kind, such as a mat, are not judged.',
    now: 'It is halted if it moves, and locked out, since its place can no longer be told from that sensor.',
    find: [
      'Find out whether it is the blade or the wire: with the carriage held still in the middle of its way, the mark must not change, whatever you do to the cable.',
    ],
    prevent:
      'A stiff blade, a wide gap, screws with lock washers. Lead motor and sensor wires apart, or twist each pair. A board may wait 5 ms for a reading to settle before it reports it.',
  },
};

export const strayMove: FaultWords = {
  seen: (f, w) => {
    const what = f.sensor === undefined ? 'Its sensors changed' : `${upper(f.sensor)} changed`;
    return `${what} at ${w.context.clock(f.at)} as if it moved, and nobody had told it to.`;
  },
  look: () => 'whether its motor runs, then at its driver or relay',
  causes: () => [
    'Somebody or something pushed it.',
    'A relay is stuck or a driver has shorted, and the motor runs by itself. Treat it as live.',
    'A button or a timer of its own started it, outside the yard.',
    'The board started its output by itself: at power-up, or after a restart in mid-move.',
    'A sensor misreads: light, water, a loose plug.',
  ],
  checks: () => [
    'Keep clear and look: does it still move, does the motor hum? If so, press the red button or pull its plug from where it can not reach you.',
    'See who or what is near it.',
    HANDS,
    'With its power off, measure across the relay contact: it must be open.',
    'With the motor still unplugged, switch the board off and on and watch its output: it must stay off.',
    'Wiggle the sensor cables and watch the marks.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Its sensors tell of a journey that nobody asked for.',
    rule: 'Judged only while the yard opens, is open or closes, and only for a prop in service.',
    now: 'It is halted and locked out. If it goes on moving after the halt, the whole yard is stopped.',
    find: [
      'Take this one seriously: a motor that runs without a command can do it again with a hand in the way. Welded relay contacts are the classic: a surge as the motor starts glues them, and no message can open them.',
    ],
    prevent:
      'A relay or driver rated for the surge, not for the running current; a diode or a snubber across the motor; a pull-down on the output pin, so that a board that is off or starting holds the motor off.',
  },
};
