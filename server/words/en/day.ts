import { dayOf } from '../day.ts';

const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];
const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

/** `Sat 31 October 2026` of `2026-10-31`; what is no date stays as it is. */
export function day(iso: string): string {
  const found = dayOf(iso);
  if (!found) return iso;
  return `${WEEKDAYS[found.weekday]} ${found.day} ${MONTHS[found.month - 1]} ${found.year}`;
}
