import { describe, expect, it } from 'vitest';
import { indexYard } from '../../server/bus/intake.ts';
import { Strangers } from '../../server/bus/strangers.ts';
import { landing } from '../show/landing.ts';

const index = indexYard(landing(), { word: 'me', stop: 0, cleared: 0 });
const bytes = (value: unknown) => Buffer.from(JSON.stringify(value));
const link = (session: string, props: string[], more = {}) =>
  bytes({ up: true, session, first: session, contract: 1, props, stop: 0, epoch: 1, ...more });
const sense = (prop: string, made: boolean, session: string, n = 1) => bytes({ prop, made, session, n });

describe('strangers on the bus', () => {
  it('are boards that said `link` and are not in the file, with what their sensors say', () => {
    const heard = new Strangers();
    heard.hear(index, 'yard/controller/gull-board/link', link('s1', ['gull'], { firmware: '1.2' }));
    heard.hear(index, 'yard/prop/gull/sense/near', sense('gull', true, 's1'));
    heard.hear(index, 'yard/prop/gull/sense/far', sense('gull', false, 's1'));
    // Known to the file: none of theirs.
    heard.hear(index, 'yard/controller/ferry-board/link', link('s2', ['ferry']));
    heard.hear(index, 'yard/prop/ferry/sense/near', sense('ferry', true, 's2'));
    expect(heard.list(index)).toEqual([
      {
        id: 'gull-board',
        firmware: '1.2',
        up: true,
        props: [
          {
            id: 'gull',
            sensors: [
              { id: 'near', made: true },
              { id: 'far', made: false },
            ],
          },
        ],
      },
    ]);
  });

  it('of a new session their sensors are unknown until they speak, and a will of an older one takes nobody away', () => {
    const heard = new Strangers();
    heard.hear(index, 'yard/controller/gull-board/link', link('s1', ['gull']));
    heard.hear(index, 'yard/prop/gull/sense/near', sense('gull', true, 's1'));
    heard.hear(index, 'yard/controller/gull-board/link', link('s2', ['gull']));
    expect(heard.list(index)[0]!.props[0]!.sensors).toEqual([{ id: 'near', made: null }]);
    heard.hear(index, 'yard/controller/gull-board/link', bytes({ up: false, session: 's1' }));
    expect(heard.list(index)[0]!.up).toBe(true);
    heard.hear(index, 'yard/controller/gull-board/link', bytes({ up: false, session: 's2' }));
    expect(heard.list(index)[0]!.up).toBe(false);
  });

  it('are gone from the list once the file knows them', () => {
    const heard = new Strangers();
    heard.hear(index, 'yard/controller/gull/link', link('s1', ['gull']));
    const changed = landing([
      '  path-mat: {title',
      '  gull: {title: Gull, moves: {turn: {lasts: 5 s}}}\n  path-mat: {title',
    ]);
    expect(heard.list(indexYard(changed, index.own))).toEqual([]);
    expect(heard.list(index)).toHaveLength(1);
  });

  it('are bounded, and nonsense is none', () => {
    const heard = new Strangers();
    for (let n = 0; n < 500; n += 1) {
      heard.hear(
        index,
        `yard/controller/b${n}/link`,
        link(
          's',
          Array.from({ length: 90 }, (_, i) => `p${n}-${i}`),
        ),
      );
      for (let s = 0; s < 20; s += 1)
        heard.hear(index, `yard/prop/p${n}-0/sense/s${s}`, sense(`p${n}-0`, true, 's'));
    }
    const boards = heard.list(index);
    expect(boards).toHaveLength(100);
    expect(boards.every(({ props }) => props.length === 50)).toBe(true);
    expect(boards.flatMap(({ props }) => props.flatMap(({ sensors }) => sensors)).length).toBeLessThanOrEqual(
      2000,
    );
    const nonsense = new Strangers();
    for (const [topic, payload] of [
      ['yard/controller/x/link', bytes({ up: true })],
      ['yard/controller/x/link', Buffer.from([0xff, 0xfe])],
      ['yard/prop/x/sense/y', sense('other', true, 's')],
      ['yard/controller/__proto__/link', link('s', ['a'])],
      ['elsewhere', link('s', ['a'])],
    ] as const)
      nonsense.hear(index, topic, payload);
    expect(nonsense.list(index)).toEqual([]);
  });
});
