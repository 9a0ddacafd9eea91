/**
 * The cautions, in one place: the README, the check command, the page and the pages of the faults all say these
 * words, and a test compares the README with them.
 */

/** The first of the cautions, said alone where a stop is spoken of. */
export const RED_BUTTON =
  'STOP ALL on the page is a convenience and not an emergency stop. An emergency stop is a hard-wired red button that cuts motion power and air whatever any computer, board or network does (ISO 13850, IEC 60204-1). Fit one where whoever watches the yard can reach it, and press it as a test before every night.';

/** The same in a line, for the commands that plan what will move. */
export const RED_BUTTON_SHORT =
  'Before anything moves: a hard-wired red button that cuts motion power and air (ISO 13850, IEC 60204-1). STOP ALL on the page is no emergency stop.';

export const CAUTIONS: readonly string[] = [
  RED_BUTTON,
  'Dusklatch is software without a safety rating. Never let it be the only thing between a person and a moving part.',
  'Guards and distance: keep guests out of reach of everything that moves, with a fence, not a rope alone. Keep your own people out too while the yard is open.',
  'Stored air and springs: a cylinder can move for as long as there is pressure behind it, and a spring for as long as it is tight. Let the air out and relax the spring before a hand goes in.',
  'Mains and wet ground: only leads, plugs and boxes made for outdoors, behind a breaker that trips on a leak to ground (GFCI, RCD). Use low voltage wherever you can.',
  'Lifting and crushing: what hangs or stands up must be held by something that holds without power. Leave a hand’s room where parts close, or close the gap to hands.',
  'Fog and crowds: fog hides steps, edges and people, and wets floors. Keep paths and ways out lit and free, and stop the fog when the crowd is thick.',
  'Local codes and licensed electricians decide. Where they and this program differ, they are right.',
];
