import { whyOf } from '../../server/show/why.ts';
import type { Storm } from './storm.ts';

const SETTLE_MS = 25_000;
const PATIENCE_MS = 120_000;
const RUNS_MS = 600_000;
const LOOK_MS = 2_000;
/** What may keep a scene from running though all is well. */
const FAIR = new Set(['quiet', 'close', 'outside-hours']);

/** Everything that weather has ever touched is put right: the second half of every storm. */
export function heal(storm: Storm): void {
  const { main, spare, bus, yardful, referee } = storm;
  storm.world.tell('HEALED');
  storm.healed = true;
  storm.endAll();
  spare.kill('reset', null);
  main.disk.trouble = null;
  main.death = null;
  main.slowFlush = false;
  main.setWall(0);
  if (main.frozen) {
    main.thaw();
    main.process?.thawed();
  }
  if (storm.broker) bus.live();
  if (!main.process?.alive) main.start();
  for (const clone of storm.clones) clone.powerOff();
  for (const tank of yardful.tanks.values()) tank.mend();
  for (const body of yardful.bodies.values()) body.repair();
  for (const board of yardful.boards.values()) {
    board.repair();
    board.powerOn();
  }
  referee.truth.busRough = 0;
  storm.rough(SETTLE_MS);
}

/**
 * 25: all is well again. Within two minutes of people's clear, release and open the show must run, or each prop that
 * does not must say why; and then every scene must be seen to run.
 */
export async function judgeEnd(storm: Storm): Promise<void> {
  const { world, crew, referee } = storm;
  await world.runTo(world.now + SETTLE_MS);
  crew.hurry(LOOK_MS);
  await world.runTo(world.now + PATIENCE_MS);
  if (world.over) return;
  referee.ask(25);
  if (!open(storm)) return;
  const before = made(storm);
  for (const end = world.now + RUNS_MS; world.now < end && !world.over; ) {
    const waiting = [...before].filter(([id, n]) => (made(storm).get(id) ?? 0) <= n);
    if (waiting.length === 0) break;
    for (const [scene] of waiting) crew.send({ kind: 'sceneAsked', by: 'keeper', scene });
    await world.runTo(world.now + 5_000);
  }
  if (!world.over) allMade(storm, before);
}

function open(storm: Storm): boolean {
  const { referee, crew } = storm;
  const p = storm.main.process;
  if (!p?.alive || !p.driving) {
    referee.breach(25, 'the desk does not drive the yard though all is well');
    return false;
  }
  const { show } = p.desk;
  if (show.mode !== 'open' && show.mode !== 'opening') {
    const said = [...crew.refused].map(([what, why]) => `${what}: ${why.map((r) => r.code).join(' ')}`);
    referee.breach(25, `all is well, people opened, and the yard is ${show.mode} (${said.join('; ')})`);
    return false;
  }
  for (const id of show.yard.props.keys()) {
    // the edited file may name what nobody has built yet
    if (!storm.yardful.bodies.has(id)) continue;
    const { state, why } = whyOf(show, id, p.desk.at);
    if (state === 'locked-out' || state === 'silent') {
      const said = crew.refused.get(`releaseAsked ${id}`)?.map((r) => r.code) ?? [];
      referee.breach(
        25,
        `all is well and ${id} is ${state}: ${JSON.stringify(why)}; a release is refused with ${said.join(' ')}`,
      );
      return false;
    }
    if (!why) referee.breach(25, `${id} says nothing of why it is ${state}`);
  }
  return true;
}

function made(storm: Storm): Map<string, number> {
  const show = storm.main.process?.desk.show;
  return new Map(Object.entries(show?.scenes ?? {}).map(([id, s]) => [id, s.made]));
}

function allMade(storm: Storm, before: ReadonlyMap<string, number>): void {
  const { referee, crew } = storm;
  const now = made(storm);
  for (const [id, n] of before) {
    if ((now.get(id) ?? 0) > n) continue;
    const why = [...(crew.everRefused.get(`sceneAsked ${id}`) ?? [])];
    if (why.some((code) => FAIR.has(code))) continue;
    referee.breach(
      25,
      `all is well and ${id} did not run in ${RUNS_MS / 60_000} min (${why.join(' ') || 'no refusal'})`,
    );
  }
}
