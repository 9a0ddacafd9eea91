import { zitat } from './names.ts';

/** A board's word for refusing, from the contract, as people say it; another word is quoted. */
const REFUSALS = new Map([
  ['session', 'die Platine hatte inzwischen neu begonnen'],
  ['epoch', 'die Platine folgt einem anderen Hofrechner'],
  ['stopped', 'bei der Platine gilt noch ein Stopp'],
  ['heartbeat', 'die Platine hat den Hofrechner nicht gehört'],
  ['busy', 'die Platine sagt, dass sie schon etwas bewegt'],
  ['unknown', 'die Platine kennt die Bewegung nicht'],
]);

/** Why a board said no, as a clause. */
export function refusal(why: string): string {
  if (why.trim() === '') return 'die Platine hat ohne Grund abgelehnt';
  return REFUSALS.get(why) ?? `die Platine hat abgelehnt und sagt ${zitat(why)}`;
}
