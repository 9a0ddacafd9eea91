/** One edit of a built file: text replaced, or a statement put at the beginning of a function. */
export type Edit = { readonly file: string } & (
  | { readonly find: string; readonly put: string }
  | { readonly into: string; readonly put: string }
);

/** A mistake planted in the daemon, and the invariants one of which must see it. */
export interface Mutant {
  readonly id: string;
  /** What somebody got wrong. */
  readonly about: string;
  readonly breaks: readonly number[];
  readonly edits: readonly Edit[];
}

const SHOW = 'server/show';
const into = (file: string, fn: string, put: string): Edit => ({ file: `${SHOW}/${file}.js`, into: fn, put });
const swap = (file: string, find: string, put: string): Edit => ({ file: `${SHOW}/${file}.js`, find, put });

/** The desk's own check is put to sleep, so that the storm's checkers see for themselves. */
export const BLIND: Edit = into('check', 'checkShow', 'return [];');

/** One mistake each; every invariant has at least one. */
export const MUTANTS: readonly Mutant[] = [
  {
    id: 'needs-unasked',
    about: 'a move starts without its needs being asked',
    breaks: [1],
    edits: [into('interlock', 'needAgainst', "if (when === 'start') return null;")],
  },
  {
    id: 'old-word-is-fresh',
    about: 'a link that is silent still counts as live',
    breaks: [1],
    edits: [into('interlock', 'isLive', 'if (show.controllers[controller].up) return true;')],
  },
  {
    id: 'needs-unwatched',
    about: 'a need that fails in mid-move halts nothing',
    breaks: [2],
    edits: [into('watch', 'watchInterlocks', 'return;')],
  },
  {
    id: 'carriage-leaves',
    about: 'a carriage is sent away while what needs it there moves',
    breaks: [3],
    edits: [into('admission', 'neededAgainst', 'return null;')],
  },
  {
    id: 'both-ends-unseen',
    about: 'two ends made at once lock nothing out',
    breaks: [4],
    edits: [into('fault', 'contradictions', 'return [];')],
  },
  {
    id: 'limits-unwatched',
    about: 'a move that takes too long, or gives no answer, goes on',
    breaks: [4],
    edits: [into('overdue', 'flightTime', 'return;')],
  },
  {
    id: 'locked-out-moves',
    about: 'a lockout bars nothing',
    breaks: [4],
    edits: [swap('admission', "if (p.lockout && by !== 'bench')", 'if (false)')],
  },
  {
    id: 'place-unknown',
    about: 'a scene uses a prop whose position is not known',
    breaks: [5],
    edits: [into('interlock', 'mustHome', 'return false;')],
  },
  {
    id: 'two-at-once',
    about: 'a prop is told a second move while the first is under way',
    breaks: [6],
    edits: [
      swap('admission', 'if (p.flight)\n', 'if (false)\n'),
      swap('admission', 'if (p.heldBy)', 'if (false)'),
    ],
  },
  {
    id: 'told-again-and-again',
    about: 'an order without an answer is told every second',
    breaks: [7],
    edits: [swap('overdue', 'tries: 2', 'tries: 1')],
  },
  {
    id: 'stop-leaves-the-show-on',
    about: 'a stop is latched and the show goes on starting scenes',
    breaks: [8, 11],
    edits: [
      swap('stop', "turn.setMode('stopped', by);", ''),
      swap('admission', 'if (show.stop.latched)', 'if (false)'),
    ],
  },
  {
    id: 'clear-opens',
    about: 'clearing the stop opens the yard',
    breaks: [8],
    edits: [swap('stop', "turn.setMode('held', by);", "turn.setMode('open', by);")],
  },
  {
    id: 'old-page-clears',
    about: 'a clear by someone who has not seen the newest stop is taken',
    breaks: [8],
    edits: [swap('stop', 'show.troubleN > seen', 'false')],
  },
  {
    id: 'heartbeat-without-stop',
    about: 'the heartbeat does not bear the latched stop',
    breaks: [9],
    edits: [
      { file: 'server/desk.js', find: 'stop.latched ? stop.n : 0', put: '0' },
      swap('stop', 'return show.stop.sentAt +', 'return 1e15 + show.stop.sentAt +'),
    ],
  },
  {
    id: 'stop-waits-for-the-disk',
    about: 'the record of a stop is written before the stop leaves',
    breaks: [10],
    edits: [
      {
        file: 'server/desk.js',
        find: 'let stops = this.#out.sendStops(taken.effects);',
        put: "if (taken.effects.some((e) => e.kind === 'sendStop')) this.#record.write(taken.events); let stops = this.#out.sendStops(taken.effects);",
      },
    ],
  },
  {
    id: 'no-disk-no-stop',
    about: 'a stop is not sent while the record can not be written',
    breaks: [10],
    edits: [
      {
        file: 'server/desk.js',
        find: 'let stops = this.#out.sendStops(taken.effects);',
        put: 'let stops = before.recordFailing === null && this.#out.sendStops(taken.effects);',
      },
      {
        file: 'server/desk.js',
        find: ' stops = this.#out.sendStops(taken.effects);',
        put: ' stops = before.recordFailing === null && this.#out.sendStops(taken.effects);',
      },
    ],
  },
  {
    id: 'red-button-unheard',
    about: 'a red button in the yard stops nothing',
    breaks: [10],
    edits: [into('station', 'watchStations', 'return;')],
  },
  {
    id: 'second-press-frees',
    about: 'pressing stop a second time takes it back',
    breaks: [10, 11],
    edits: [
      into(
        'stop',
        'stopNow',
        "if (turn.show.stop.latched) { turn.show.stop = { ...turn.show.stop, latched: false }; turn.setMode('held', by); return turn.show.stop.n; }",
      ),
    ],
  },
  {
    id: 'old-session-goes-on',
    about: "a board's new session is not taken over",
    breaks: [12],
    edits: [
      swap(
        'link',
        'session: e.session,\n        first',
        'session: link.session ?? e.session,\n        first',
      ),
    ],
  },
  {
    id: 'old-word-ends-moves',
    about: 'what a past session says of a move is believed',
    breaks: [6, 12],
    edits: [swap('flight', 'if (!flight || flight.session !== e.session)', 'if (!flight)')],
  },
  {
    id: 'overtaken-order-leaves',
    about: 'an order that the same turn overtook is sent all the same',
    breaks: [1, 3, 4, 6, 12],
    edits: [{ file: 'server/desk-steps.js', into: 'stillMeant', put: 'return true;' }],
  },
  {
    id: 'topic-unasked',
    about: "a message on another prop's topic is taken",
    breaks: [13],
    edits: [
      { file: 'server/bus/intake.js', find: 'if (said.prop !== id)', put: 'if (false)' },
      { file: 'server/bus/intake.js', find: 'if (said.prop !== id)', put: 'if (false)' },
    ],
  },
  {
    id: 'never-stands-down',
    about: 'a desk that hears a higher one goes on',
    breaks: [14],
    edits: [into('identity', 'deskHeard', 'if (e.up) return;')],
  },
  {
    id: 'restart-forgives',
    about: 'lockouts are gone after a restart',
    breaks: [15],
    edits: [swap('identity', 'sensors: {},', 'sensors: {}, lockout: null,')],
  },
  {
    id: 'link-forgives',
    about: "a lockout goes away when its board's link comes back",
    breaks: [15],
    edits: [
      into(
        'link',
        'returned',
        'for (const id of turn.yard.controllers.get(controller)) turn.setProp(id, { lockout: null });',
      ),
    ],
  },
  {
    id: 'old-page-releases',
    about: 'a release by someone who has not seen the newest lockout is taken',
    breaks: [15],
    edits: [swap('fault', 'lockout && turn.show.troubleN > seen', 'false')],
  },
  {
    id: 'snapshot-forgets',
    about: 'a snapshot leaves out how long props rest',
    breaks: [16],
    edits: [
      swap('save', 'JSON.stringify(rest)', "JSON.stringify(rest, (k, v) => (k === 'restUntil' ? 0 : v))"),
    ],
  },
  {
    id: 'hidden-state',
    about: 'the core keeps something beside its state',
    breaks: [16],
    edits: [
      into(
        'scene',
        'startRun',
        'globalThis.planted = (globalThis.planted ?? 0) + 1; turn.show.troubleN += globalThis.planted % 2;',
      ),
    ],
  },
  {
    id: 'moves-before-the-record',
    about: 'orders leave before their record is on the disk',
    breaks: [17],
    edits: [{ file: 'server/desk.js', find: 'else if (mayWait(before, taken))', put: 'else if (!stops)' }],
  },
  {
    id: 'resumes-unwritten',
    about: 'the turn in which the disk takes writes again moves before it is written',
    breaks: [17],
    edits: [
      {
        file: 'server/desk.js',
        find: 'if (before.recordFailing !== null && (stops || taken.show.recordFailing !== null))',
        put: 'if (before.recordFailing !== null)',
      },
    ],
  },
  {
    id: 'circuits-unasked',
    about: 'no start is asked what its circuit bears',
    breaks: [18],
    edits: [into('loads', 'circuitAgainst', 'return null;')],
  },
  {
    id: 'silent-draws-nothing',
    about: 'a silent prop counts as drawing nothing',
    breaks: [18],
    edits: [
      into(
        'loads',
        'flightsNow',
        'return [...show.yard.props.keys()].flatMap((prop) => { const { flight } = show.props[prop]; return flight && !flight.lost ? [{ prop, flight }] : []; });',
      ),
    ],
  },
  {
    id: 'air-unasked',
    about: 'no start is asked what its tank bears',
    breaks: [18],
    edits: [into('loads', 'tankAgainst', 'return null;')],
  },
  {
    id: 'duty-unasked',
    about: 'no start is asked what its motor has done before',
    breaks: [18],
    edits: [into('loads', 'dutyAgainst', 'return null;')],
  },
  {
    id: 'zones-unasked',
    about: 'a zone takes any number of scenes',
    breaks: [18],
    edits: [into('admission', 'zoneAgainst', 'return null;')],
  },
  {
    id: 'rest-unasked',
    about: 'a prop is used before it has rested',
    breaks: [18],
    edits: [swap('admission', 'if (p.restUntil > at)', 'if (false)')],
  },
  {
    id: 'late-runs',
    about: 'a planned run starts however late it is',
    breaks: [19],
    edits: [
      swap('planned', 'lateMs > allowedMs ?', 'false ?'),
      swap('planned', 'lateMs >= allowedMs', 'false'),
    ],
  },
  {
    id: 'runs-repeat',
    about: 'a planned run that is done may start again',
    breaks: [19],
    edits: [
      swap('planned', "if (r.state === 'planned')", "if (r.state === 'planned' || r.state === 'done')"),
      swap('planned', "if (i === from && turn.show.planned[i].state !== 'planned')", 'if (false)'),
    ],
  },
  {
    id: 'clock-unheard',
    about: 'a step of the clock is never taken note of',
    breaks: [19],
    edits: [{ file: 'server/desk.js', into: '#watchWall', put: 'return;' }],
  },
  {
    id: 'opens-late',
    about: 'the yard opens by itself whenever the clock says that its hour is past',
    breaks: [19],
    edits: [swap('night', 'if (turn.at > plannedMs + SELF_OPEN_LATE_MS)', 'if (false)')],
  },
  {
    id: 'quiet-unasked',
    about: 'loud moves start after quiet',
    breaks: [20],
    edits: [
      swap(
        'loads',
        'export const quietAt = (show) =>',
        'export const quietAt = (show) => Number.POSITIVE_INFINITY; export const quietWas = (show) =>',
      ),
    ],
  },
  {
    id: 'runs-while-held',
    about: 'planned scenes start whatever the mode',
    breaks: [20],
    edits: [swap('scene', "else if (show.mode !== 'open')", "else if (show.mode === 'stopped')")],
  },
  {
    id: 'bytes-unguarded',
    about: 'a payload that is no JSON is read without a guard',
    breaks: [21],
    edits: [
      {
        file: 'server/bus/payload.js',
        into: 'readPayload',
        put: 'JSON.parse(new TextDecoder().decode(bytes));',
      },
    ],
  },
  {
    id: 'retained-triggers',
    about: 'a retained reading sets a scene off',
    breaks: [22],
    edits: [swap('prop', 'const live = !e.retained', 'const live = true || !e.retained')],
  },
  {
    id: 'retained-taken',
    about: 'what is retained where it may not be is taken',
    breaks: [22],
    edits: [
      {
        file: 'server/bus/intake.js',
        find: 'if (retained && !MESSAGES[address.kind].retain)',
        put: 'if (false)',
      },
    ],
  },
  {
    id: 'page-always-live',
    about: 'the page shows whatever it has as live',
    breaks: [23],
    edits: [
      {
        file: 'web/link.js',
        find: 'export const LOST_AFTER_MS = 2500;',
        put: 'export const LOST_AFTER_MS = 60000;',
      },
    ],
  },
  {
    id: 'page-trusts-bursts',
    about: 'the page takes word that was long on the way for fresh',
    breaks: [23],
    edits: [{ file: 'web/link.js', find: 'mono - this.#at - least', put: 'mono - this.#heard' }],
  },
  {
    id: 'sessions-kept',
    about: 'past sessions are kept without bound',
    breaks: [24],
    edits: [swap('link', 'past.slice(0, PAST_SESSIONS)', 'past')],
  },
  {
    id: 'stands-down-for-ever',
    about: 'a desk that stood down never begins anew',
    breaks: [25],
    edits: [into('identity', 'standDownTime', 'return;')],
  },
  {
    id: 'release-refused',
    about: 'a lockout can not be released although its cause is gone',
    breaks: [25],
    edits: [
      swap(
        'fault',
        "if (!lockout)\n        return { code: 'not-locked-out', prop };",
        "return { code: 'not-locked-out', prop };",
      ),
    ],
  },
  {
    id: 'homing-hangs',
    about: 'homing waits for ever for a prop whose link went away',
    breaks: [25],
    edits: [into('homing', 'advanceHoming', 'if (turn.show.homing) return false;')],
  },
];
