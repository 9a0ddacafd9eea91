import { describe, expect, it } from 'vitest';
import { changed, errorsIn, marked } from './landing.ts';
import { QUAY } from './quay.ts';

type Change = readonly [from: string, to: string];

/** Exactly these mistakes, the first at the mark. */
function never(change: Change, ...messages: readonly string[]): void {
  const { text, line, column } = marked(changed(QUAY, change));
  const errors = errorsIn(text);
  expect(errors.map((e) => e.message.replace(/^Line \d+: /u, ''))).toEqual(messages);
  expect(errors[0]).toMatchObject({ line, column });
}

const CROSSING = '[ferry.out, ferryman.row, ferry.back]';
const SAYS = 'the scene `crossing` can never run: ';

it('the yard itself can run', () => {
  expect(errorsIn(QUAY)).toEqual([]);
});

describe('needs that contradict along the steps', () => {
  it('a carriage that is never brought there', () => {
    never(
      [CROSSING, '[«ferryman.row]'],
      `${SAYS}\`ferryman.row\` needs \`ferry.far\`, and nothing brings \`ferry\` to \`far\` while this scene could run. Bring it there first, as with \`ferry.out\`.`,
    );
  });

  it('a carriage that has been sent back already', () => {
    never(
      [CROSSING, '[ferry.out, ferry.back, «ferryman.row]'],
      `${SAYS}\`ferryman.row\` needs \`ferry.far\`, and \`ferry\` is at \`near\` then. Bring it there first, as with \`ferry.out\`.`,
    );
  });

  it('a carriage that still stands at home', () => {
    never(
      [CROSSING, '[«ferryman.row, ferry.out, ferry.back]'],
      `${SAYS}\`ferryman.row\` needs \`ferry.far\`, and \`ferry\` is at \`near\` then. Bring it there first, as with \`ferry.out\`.`,
    );
  });

  it('a wish that it be away, once it has come', () => {
    never(
      [CROSSING, '[ferry.out, «ferryman.wave, ferry.back]'],
      `${SAYS}\`ferryman.wave\` needs \`not ferry.far\`, and \`ferry\` is always at \`far\` then.`,
    );
  });

  it('a figure that starts with its carriage', () => {
    never(
      [CROSSING, '[{together: [«ferry.out, ferryman.row]}, ferry.back]'],
      `${SAYS}\`ferry.out\` needs \`ferryman at rest\`, and \`ferryman\` moves at the same time.`,
      `${SAYS}\`ferryman.row\` needs \`ferry.far\`, and \`ferry.out\` is under way at the same time.`,
    );
  });

  it('a figure that is still at it when the carriage arrives', () => {
    const text = changed(QUAY, [
      'needs: [ferryman at rest], load: {dock: 3 A}}\n      back',
      'load: {dock: 3 A}}\n      back',
    ]);
    const long = changed(text, [
      CROSSING,
      '[{together: [ferry.out, ferryman.wave]}, ferryman.row, ferry.back]',
    ]);
    expect(errorsIn(long)).toEqual([]);
    const longer = changed(long, ['wave: {lasts: 3 s', 'wave: {lasts: 8 s']);
    expect(errorsIn(longer).map((e) => e.message.slice(8))).toEqual([
      ` ${SAYS}\`ferryman.wave\` needs \`not ferry.far\`, and \`ferry.out\` arrives there before \`ferryman.wave\` has ended.`,
    ]);
  });

  it('home is wanted of a carriage that is out', () => {
    never(
      [CROSSING, '[ferry.out, «gull.cry, ferry.back]'],
      `${SAYS}\`gull.cry\` needs \`ferry at home\`, and \`ferry\` is at \`far\` then. Bring it there first, as with \`ferry.back\`.`,
    );
  });
});

describe('needs that can hold', () => {
  const fine = (change: Change): void => expect(errorsIn(changed(QUAY, change))).toEqual([]);

  it('because another scene leaves the carriage there', () => {
    fine([
      CROSSING,
      '[ferry.out]}\n  back: {title: Back, steps: [ferry.back]}\n  rows: {title: Rows, steps: [ferryman.row]',
    ]);
  });

  it('because another scene passes there without holding the figure', () => {
    fine([CROSSING, '[ferry.out, {wait: 30 s}, ferry.back]}\n  rows: {title: Rows, steps: [ferryman.row]']);
  });

  it('because tidying may leave it there', () => {
    const text =
      '[ferry.out, ferryman.row, ferry.back], if-it-fails: [ferry.out]}\n  rows: {title: Rows, steps: [ferryman.row]';
    fine([CROSSING, text]);
  });

  it('because a timed move may lead anywhere', () => {
    const shaken = changed(QUAY, ['      back: {', '      shake: {lasts: 4 s}\n      back: {']);
    expect(errorsIn(changed(shaken, [CROSSING, '[ferry.shake, ferryman.row, ferry.back]']))).toEqual([]);
  });

  it('because a prop without a home is where it was left', () => {
    expect(
      errorsIn(
        changed(
          QUAY,
          ['    home: near\n', ''],
          ['mat.step, ferry at home', 'mat.step'],
          [CROSSING, '[ferryman.row]'],
        ),
      ),
    ).toEqual([]);
  });

  it('because a mat can be stepped on at any time', () => {
    expect(errorsIn(QUAY)).toEqual([]);
  });
});

describe('needs that no move can have', () => {
  it.each<[string, Change, string]>([
    [
      'rest of its own',
      [
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest]',
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [«ferry at rest]',
      ],
      '`ferry.out` can never run: it needs `ferry at rest`, and is not at rest while it moves. A prop never makes two moves at once anyway: leave it out.',
    ],
    [
      'the end that it leaves',
      [
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest]',
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [«ferry.near]',
      ],
      '`ferry.out` can never run: it needs `ferry.near`, which it leaves by moving, and needs must hold until the move ends. Leave it out: the desk itself sees from where it moves.',
    ],
    [
      'the end that it goes to',
      [
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest]',
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [«ferry.far]',
      ],
      '`ferry.out` can never run: it needs `ferry.far`, where it only arrives at its end. Needs must hold from the start: leave it out.',
    ],
    [
      'both ends',
      ['needs: [ferry.far], load', 'needs: [ferry.far, «ferry.near], load'],
      '`ferryman.row` can never run: it needs `ferry.near`, and also `ferry.far`: a prop is never at two ends at once.',
    ],
    [
      'home and the other end',
      ['needs: [ferry.far], load', 'needs: [ferry.far, «ferry at home], load'],
      '`ferryman.row` can never run: it needs `ferry at home`, and also `ferry.far`: a prop is never at two ends at once.',
    ],
    [
      'a sensor and not the sensor',
      ['[mat.step, ferry at home]', '[mat.step, «not mat.step]'],
      '`gull.cry` can never run: it needs `not mat.step`, and also `mat.step`, which is the opposite.',
    ],
  ])('%s', (_, change, message) => {
    never(change, message);
  });

  it('a pressed red button', () => {
    const text = changed(
      QUAY,
      ['scenes:', '  button: {title: B, kind: stop-station, sensors: {button: plain}}\nscenes:'],
      ['[mat.step, ferry at home]', '[button.button]'],
    );
    expect(errorsIn(text).map((e) => e.message)).toEqual([
      'Line 31: `gull.cry` can never run: it needs `button.button`, and while that is made the whole yard is stopped. A station stops by itself and is in no needs.',
    ]);
  });
});

describe('loads that a circuit cannot carry', () => {
  it('one move, with what always draws', () => {
    never(
      ['needs: [ferry.far], load: {dock: 2 A}', 'needs: [ferry.far], load: {dock: «5.1 A}'],
      '`ferryman.row` can never run: it runs at 5.1 A; with 3 A that always draws that is 8.1 A, and `dock` carries 8 A for hours (80 % of 10 A).',
    );
  });

  it('one start, above the breaker', () => {
    never(
      [
        'needs: [ferry.far], load: {dock: 2 A}',
        'needs: [ferry.far], load: {dock: «{run: 2.5 A, surge: 7.1 A for 300 ms}}',
      ],
      '`ferryman.row` can never run: it starts with 7.1 A; with 3 A that always draws that is 10.1 A, and the breaker of `dock` is 10 A.',
    );
  });

  it('two moves together', () => {
    const gull = changed(QUAY, [
      'cry: {lasts: 2 s, needs: [mat.step, ferry at home]}',
      'cry: {lasts: 2 s, load: {dock: 3.1 A}}',
    ]);
    const { text, line, column } = marked(
      changed(gull, [CROSSING, '[ferry.out, «{together: [ferryman.row, gull.cry]}, ferry.back]']),
    );
    expect(errorsIn(text)).toMatchObject([
      {
        line,
        column,
        message: `Line ${line}: ${SAYS}of \`ferryman.row\` and \`gull.cry\` together, it runs at 5.1 A; with 3 A that always draws that is 8.1 A, and \`dock\` carries 8 A for hours (80 % of 10 A). Start one after the other, or move one to another circuit.`,
      },
    ]);
    expect(errorsIn(changed(text, ['3.1 A', '3 A']))).toEqual([]);
  });

  it('two starts together, above the breaker', () => {
    const text = changed(
      QUAY,
      [
        'cry: {lasts: 2 s, needs: [mat.step, ferry at home]}',
        'cry: {lasts: 2 s, load: {dock: {run: 1 A, surge: 4.6 A for 1 s}}}',
      ],
      ['load: {dock: 2 A}', 'load: {dock: {run: 1 A, surge: 2.5 A for 200 ms}}'],
      [CROSSING, '[ferry.out, {together: [ferryman.row, gull.cry]}, ferry.back]'],
    );
    expect(errorsIn(text).map((e) => e.message.slice(9))).toEqual([
      `${SAYS}of \`ferryman.row\` and \`gull.cry\` together, it starts with 7.1 A; with 3 A that always draws that is 10.1 A, and the breaker of \`dock\` is 10 A. Start one after the other, or move one to another circuit.`,
    ]);
  });
});

describe('air, duty and time', () => {
  it('a draw that a full tank cannot give', () => {
    // 20 l from 8 to 5 bar: 20 · 300 / 101.325 = 59.2 l of free air.
    never(
      ['air: {shed: 20 l}', 'air: {shed: «60 l}'],
      '`hatch.slam` can never run: it draws 60 l of free air, which from a full `shed` leaves 72 psi (5.0 bar), and 73 psi (5.0 bar) must be left. It can give 59.2 l.',
    );
  });

  it('draws of one scene that outrun the compressor', () => {
    const many = '[hatch.slam, hatch.close, hatch.slam, hatch.close, hatch.slam, hatch.close]';
    const { text, line, column } = marked(
      changed(
        QUAY,
        ['Hatch, steps: [hatch.slam, hatch.close]', `Hatch, «steps: ${many}`],
        ['20 l}}', '21 l}}'],
      ),
    );
    const [error, ...rest] = errorsIn(text);
    expect(rest).toEqual([]);
    expect(error).toMatchObject({ line, column });
    // From 8 bar: three draws of 21 l, and 10 l/min for the 6 s between the first and the last.
    expect(error!.message).toContain(
      'can never run: it draws 63 l of free air from `shed`, which even from cut-out',
    );
    expect(
      errorsIn(changed(text, ['hatch.close, hatch.slam,', 'hatch.close, {wait: 20 s}, hatch.slam,'])),
    ).toEqual([]);
  });

  it('one move longer than its duty', () => {
    never(
      ['duty: {on: 50 %, over: 1 min}', 'duty: «{on: 10 %, over: 1 min}'],
      '`ferry.out` can never run: it takes 7 s, and the duty of `ferry` allows 6 s of moving in any 60 s (10 %).',
    );
  });

  it('moves of one scene beyond its duty', () => {
    never(
      [
        'steps: [ferry.out, ferryman.row, ferry.back]',
        '«steps: [ferry.out, {wait: 1 s}, ferry.back, ferry.out, ferry.back, ferry.out, ferry.back]',
      ],
      `${SAYS}it moves \`ferry\` for 42 s within 60 s, and its duty allows 30 s (50 %). Put a \`wait\` between its moves, or move it less.`,
    );
  });

  it('a scene longer than any night', () => {
    never(
      ['steps: [ferry.out, ferryman.row, ferry.back]', '«steps: [ferry.out, {wait: 4 h}, ferry.back]'],
      `${SAYS}it takes 4 h, and the longest night is 3 h.`,
    );
  });

  it('loud moves that never end by quiet', () => {
    never(
      ['steps: [ferryman.wave, ferryman.call]', '«steps: [ferryman.wave, {wait: 2 h}, ferryman.call]'],
      'the scene `others` can never run: its last loud move ends 2 h after it starts, and from open to quiet there are at most 2 h.',
    );
  });
});
