/**
 * What the api itself says to people, in one place. Why the show refuses something is the core's word and comes
 * through the door's `say`.
 */
export const SENTENCES = {
  'no-host': 'The request names no host, or more than one. Use the address that is printed at start.',
  'foreign-host':
    'This address is not one the yard computer answers to. Use its number, a .local name, or add the name to DUSKLATCH_NAMES.',
  'foreign-origin': 'The press came from a page of another site and was not done. Open the yard page itself.',
  'no-such-page': 'There is no such page or call here.',
  'no-such-prop': 'The yard has no prop of that name.',
  'no-such-scene': 'The yard has no scene of that name.',
  'no-such-person': 'Nobody of that name is on the list.',
  'no-report': 'Nothing is recorded for that night.',
  'not-kept': 'Nothing is kept of that moment, so nobody can say how the yard was.',
  'past-busy':
    'The yard computer is busy reading its record. Try again in a moment. STOP ALL never waits for it.',
  'no-join':
    'Only this computer itself can open the page. Start with DUSKLATCH_HOST=0.0.0.0 to let phones join.',
  'no-bus-document': 'The description of the bus is not at hand.',
  'wrong-method': 'This address is there, but not for that kind of request.',
  'get-is-no-stop': 'Looking at this address stops nothing. Send a POST, or press STOP ALL on the page.',
  'not-signed-in': 'Sign in with your PIN first. STOP ALL works without.',
  'wrong-pin': 'That PIN is not right.',
  'wrong-pin-barred':
    'That PIN is not right, for the fifth time. Wait a minute. STOP ALL works without a PIN.',
  barred: 'Too many wrong PINs from this device. Wait a minute. STOP ALL works without a PIN.',
  'sign-in-busy': 'Someone is signing in right now. Try again in a second. STOP ALL works without a PIN.',
  'keeper-only': 'Only a keeper may do that.',
  'own-pin-only': 'Only a keeper may change the PIN of someone else.',
  'too-many-calls': 'Too many requests from this address. Wait a few seconds. STOP ALL is never held back.',
  'too-large': 'The request is larger than 64 KiB.',
  'file-too-large': 'A yard file is at most 256 KiB.',
  'no-address': 'No address is set yet. Write one down and save it first.',
  'not-zip': 'A backup is one zip file, sent as application/zip.',
  'zip-too-large': 'This is larger than any backup: 64 MiB at most. Is it the right file?',
  'backup-busy': 'Another backup is being made or read right now. Try again in a moment.',
  'restore-not-closed':
    'A restore exchanges the record and starts the yard computer anew, so it is done only while the yard is closed. Nothing was changed. Close the yard first.',
  'restore-stopped':
    'A stop still holds, and a restore must not lift it. Nothing was changed. Clear the stop first, then close the yard.',
  'restore-moving': 'Something still moves. Nothing was changed. Let it come to rest first.',
  'restore-read-only':
    'The yard file or its folder can not be written by this program, so the yard file in the backup could not take its place. Nothing was changed.',
  'restart-not-closed':
    'The yard computer starts anew only while the yard is closed and at rest. Close it first.',
  'not-checked': 'This is not the backup that was read last, so nothing was changed. Choose the file again.',
  'check-busy': 'Another check is under way. Try again in a moment.',
  'check-too-long':
    'Reading this text takes too long, so it was given up. A yard file is short and plain: look for something that repeats itself.',
  'file-changed':
    'The file on the disk was changed meanwhile, so nothing was saved. Copy your text, read the file anew, and put your changes in again.',
  'demo-file': 'This is the demonstration’s own file and stays as it is. Take a copy and start with that.',
  'not-json': 'The request must be JSON, sent as application/json.',
  'broken-json': 'The request is not valid JSON.',
  'broken-request': 'The request can not be read.',
  'no-body': 'The request has no content.',
  stale:
    'The press is more than 2 s old, or the clock of the page is off. Nothing was done. Look at the page and press again.',
  'seen-nothing':
    'The page shows an older start of the yard computer. Nothing was done. Look again, then press again.',
  'for-not-wanted': 'The hours of a night hold now, so `for` is not wanted. Press Open without it.',
  'no-such-sensor': 'There is no mat or button of that name.',
  'demo-elsewhere':
    'Only the computer that runs the demonstration may do that. On other devices, sign in with the PIN that was printed at start.',
  'unknown-fault': 'The stand-in of that prop can not show that fault.',
  'name-taken': 'Someone of that name is already on the list.',
  'pin-taken': 'That PIN can not be used. Choose another.',
  'last-keeper': 'This is the last keeper. Name another keeper first.',
  'too-many-people': 'The list of people is full at 50. Remove someone first.',
  'disk-refused': 'The disk refused to keep it, so nothing was changed. Look whether the disk is full.',
  'not-built': 'The page is not built on this computer. Run: npm run build',
  unready: 'The yard computer is not ready.',
  broke: 'The yard computer failed at this. STOP ALL still works. The record has the cause.',
} as const;

export type SentenceCode = keyof typeof SENTENCES;
