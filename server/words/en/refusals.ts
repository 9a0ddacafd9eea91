import { quoted } from '../figures.ts';

/** A board's word for refusing, from the contract, as people say it; another word is quoted. */
const REFUSALS = new Map([
  ['session', 'its board had begun anew in between'],
  ['epoch', 'its board follows another yard computer'],
  ['stopped', 'its board still holds a stop'],
  ['heartbeat', 'its board did not hear the yard computer'],
  ['busy', 'its board says that it is moving already'],
  ['unknown', 'its board does not know the move'],
]);

/** Why a board said no, as a clause. */
export function refusal(why: string): string {
  if (why.trim() === '') return 'its board refused without a reason';
  return REFUSALS.get(why) ?? `its board refused and says ${quoted(why)}`;
}
