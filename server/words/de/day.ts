import { dayOf } from '../day.ts';

const WEEKDAYS = ['So', 'Mo', 'Di', 'Mi', 'Do', 'Fr', 'Sa'];
const MONTHS = [
  'Januar',
  'Februar',
  'März',
  'April',
  'Mai',
  'Juni',
  'Juli',
  'August',
  'September',
  'Oktober',
  'November',
  'Dezember',
];

/** `Sa 31. Oktober 2026` of `2026-10-31`; what is no date stays as it is. */
export function day(iso: string): string {
  const found = dayOf(iso);
  if (!found) return iso;
  return `${WEEKDAYS[found.weekday]} ${found.day}. ${MONTHS[found.month - 1]} ${found.year}`;
}
