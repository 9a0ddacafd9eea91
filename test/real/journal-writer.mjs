/**
 * A process to be killed: takes the data folder, then appends turn after turn to the record and a stop number after
 * each, and says on standard output, at once, what it has been assured of. Arguments: the built journal room, the folder,
 * and how many events a turn has.
 */
import { writeSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const [room, dir, size] = process.argv.slice(2);
const load = (file) => import(pathToFileURL(join(room, file)).href);
const { openFolder } = await load('folder.js');
const { openJournal } = await load('sqlite.js');
const { openNumbers } = await load('numbers.js');

openFolder(dir);
const journal = openJournal(dir);
const numbers = openNumbers(dir);
writeSync(1, `open ${journal.lastEvent()}\n`);
for (let n = journal.lastEvent(); ; ) {
  const events = [];
  for (let i = 0; i < Number(size); i += 1) {
    n += 1;
    events.push({ n, at: n, kind: 'stopPressed', by: `turn of ${n}` });
  }
  const text = `stopped by turn of ${n}`;
  journal.append(events, [
    { n, at: n, code: 'stop-pressed', reason: '{}', text, prop: null, scene: null, run: null },
  ]);
  writeSync(1, `event ${n}\n`);
  numbers.write({ stop: n });
  writeSync(1, `stop ${n}\n`);
}
