/**
 * What every reader of a yard file is told first. The README and the stop screen say the first of these too; all three
 * must agree.
 */
export const CAUTIONS: readonly string[] = [
  'The button on the page is never the emergency stop. That is a hard-wired red button that cuts motion power and air, in reach of whoever runs the yard (ISO 13850, IEC 60204-1). Press it and see everything stop before guests come.',
  'Keep guests away from what moves, by guards and by distance. What lifts can drop, what closes can crush: block it before you reach in.',
  'Air in tanks, lines and cylinders, and springs, keep their force after power is gone. Let it out before working on them.',
  'Mains and wet ground kill: outdoor outlets behind a residual-current device (GFCI), cords off the ground, joints dry.',
  'Fog and crowds: keep the ways out and their signs in sight, and mind those who breathe it.',
  'This is arithmetic on what the file says. Local codes and licensed electricians decide.',
];
