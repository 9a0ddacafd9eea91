import { describe, expect, it } from 'vitest';
import { type VirtualFleet, virtualFleet } from '../../server/standin/fleet.ts';
import type { Out } from '../../server/standin/topics.ts';
import { saltmarsh } from './saltmarsh.ts';

type Heard = Omit<Out, 'qos'> & { at: number };

/** The whole landing in virtual time, with a desk that beats every 250 ms. */
class Landing {
  readonly fleet: VirtualFleet;
  readonly heard: Heard[] = [];
  at = 0;
  beating = true;
  #nextBeat = 0;

  constructor(seed = 1, only?: string[]) {
    this.fleet = virtualFleet({
      yard: saltmarsh(),
      seed,
      atMs: 0,
      ...(only ? { only } : {}),
      onMessage: (topic, payload, retain, _qos, at) => this.heard.push({ topic, payload, retain, at }),
    });
  }

  run(ms: number): void {
    const end = this.at + ms;
    for (;;) {
      const due = Math.min(this.fleet.nextDue() ?? Infinity, this.beating ? this.#nextBeat : Infinity);
      if (due > end) break;
      this.at = Math.max(this.at, due);
      if (this.beating && this.at >= this.#nextBeat) {
        this.#nextBeat = this.at + 250;
        const payload = { desk: 'q4x1', epoch: 12, n: 1, silenceMs: 1000, stop: 0 };
        this.fleet.receive(this.at, 'yard/heartbeat', payload, false);
      }
      this.fleet.advanceTo(this.at);
    }
    this.at = end;
    this.fleet.advanceTo(end);
  }

  order(prop: string, move: string, run: string): void {
    const controller = saltmarsh().props.get(prop)!.controller;
    const { session } = this.fleet.crew.boards.get(controller)!;
    const payload = { prop, run, step: 0, move, session, desk: 'q4x1', epoch: 12, limitMs: 50_000 };
    this.fleet.receive(this.at, `yard/prop/${prop}/do`, payload, false);
  }

  on(topic: string): Heard[] {
    return this.heard.filter((m) => m.topic === `yard/${topic}`);
  }

  say(line: string): string {
    return this.fleet.say(this.at, line);
  }
}

const landing = () => {
  const l = new Landing();
  l.run(500);
  l.heard.length = 0;
  return l;
};

describe('the fleet in virtual time', () => {
  it('links every controller of the yard at its start, or only those named', () => {
    const all = new Landing();
    all.run(1);
    const links = (l: Landing) => [
      ...new Set(l.heard.filter((m) => m.topic.endsWith('/link')).map((m) => m.topic)),
    ];
    expect(links(all)).toHaveLength(6);
    const one = new Landing(1, ['hatch']);
    one.run(1);
    expect(links(one)).toEqual(['yard/controller/hatch/link']);
    expect(() => new Landing(1, ['htach'])).toThrow("no controller 'htach'");
  });

  it('is the same run for the same seed, to the byte, and another for another', () => {
    const night = (seed: number) => {
      const l = new Landing(seed);
      l.run(1000);
      for (let i = 0; i < 5; i += 1) {
        l.order('ferry', i % 2 === 0 ? 'out' : 'back', `r${i}`);
        l.order('hatch', i % 2 === 0 ? 'slam' : 'close', `h${i}`);
        l.run(10_000);
      }
      return JSON.stringify(l.heard);
    };
    expect(night(1)).toBe(night(1));
    expect(night(1)).not.toBe(night(2));
  });

  it('shares the air of a tank between boards', () => {
    const l = landing();
    expect(l.say('drain shed')).toBe('Tank shed is empty.');
    l.order('hatch', 'slam', 'r1');
    l.run(3500);
    expect(l.on('prop/hatch/sense/shut')).toEqual([]);
    expect(l.say('drain cellar')).toBe("No: no tank 'cellar' among these stand-ins. Nearest: shed.");
  });
});

describe('faults of a whole board', () => {
  it('silence: nothing in or out; the outputs go off within the silence; the broker gives up; mending boots it', () => {
    const l = landing();
    l.order('ferry', 'out', 'r1');
    l.run(1000);
    l.say('silence ferry-board');
    l.heard.length = 0;
    l.run(1100);
    expect(l.fleet.truth(l.at, 'ferry')).toMatchObject({ energised: false });
    l.run(13_000);
    expect(l.heard.filter((m) => m.topic.includes('ferry'))).toEqual([]);
    l.run(2000);
    expect(l.on('controller/ferry-board/link').map((m) => m.payload.up)).toEqual([false]);
    const first = l.on('controller/ferry-board/link')[0]!.payload.session;
    expect(l.say('mend ferry-board')).toBe('Mended: ferry-board.');
    l.run(1000);
    const links = l.on('controller/ferry-board/link').map((m) => m.payload);
    expect(links[1]).toMatchObject({ up: true, stop: 0 });
    expect(links[1]!.session).not.toBe(first);
    l.order('ferry', 'back', 'r2');
    l.run(9000);
    expect(l.on('prop/ferry/did').map((m) => m.payload.is)).toEqual(['started', 'done']);
  });

  it('cut: the will is given out, the board goes on by itself until the silence, and links anew when mended', () => {
    const l = landing();
    l.order('ferry', 'out', 'r1');
    l.run(1000);
    const { session } = l.fleet.crew.boards.get('ferry-board')!;
    l.heard.length = 0;
    expect(l.say('cut ferry-board')).toBe('ferry-board is cut off from the bus until mended.');
    expect(l.on('controller/ferry-board/link')).toHaveLength(1);
    expect(l.fleet.truth(l.at, 'ferry').energised).toBe(true);
    l.run(1000);
    expect(l.fleet.truth(l.at, 'ferry').energised).toBe(false);
    l.run(20_000);
    expect(l.heard.filter((m) => m.topic.includes('ferry'))).toHaveLength(1);
    l.say('mend ferry-board');
    l.run(500);
    const link = l.on('controller/ferry-board/link').at(-1)!.payload;
    expect(link).toMatchObject({ up: true, epoch: 12 });
    expect(link.session).not.toBe(session);
  });

  it('reboot: outputs off at once, its old will before its new link, all counts from the start', () => {
    const l = landing();
    l.order('ferry', 'out', 'r1');
    l.run(3000);
    l.heard.length = 0;
    l.say('reboot ferry-board');
    expect(l.fleet.truth(l.at, 'ferry').energised).toBe(false);
    l.run(2000);
    const links = l.on('controller/ferry-board/link').map((m) => m.payload);
    expect(links.map((p) => p.up).slice(0, 2)).toEqual([false, true]);
    expect(links.at(-1)).toMatchObject({ epoch: 12 });
    expect(l.on('prop/ferry/sense/near')[0]!.payload).toMatchObject({ made: false, n: 0 });
    expect(l.on('controller/ferry-board/beat')[0]!.payload.n).toBe(1);
  });

  it('finds the retained stop when it boots', () => {
    const l = landing();
    l.fleet.receive(l.at, 'yard/stop', { latched: true, n: 3, desk: 'q4x1', epoch: 12 }, true);
    l.say('reboot hatch');
    l.run(2000);
    l.heard.length = 0;
    l.order('hatch', 'slam', 'r1');
    expect(l.on('prop/hatch/did').map((m) => m.payload.why)).toEqual(['stopped']);
  });

  it('cut, hung and booted in any order, mending brings the board back', () => {
    const words = ['cut', 'silence', 'reboot'];
    for (const first of words) {
      for (const second of words) {
        const l = landing();
        l.say(`${first} ferry-board`);
        l.run(300);
        l.say(`${second} ferry-board`);
        l.run(300);
        l.say('mend ferry-board');
        l.run(3000);
        l.heard.length = 0;
        l.run(500);
        expect([first, second, l.on('controller/ferry-board/beat').length > 0]).toEqual([
          first,
          second,
          true,
        ]);
        l.order('ferry', 'out', 'r1');
        expect(l.on('prop/ferry/did').map((m) => m.payload.is)).toEqual(['started']);
      }
    }
  });
});

describe('the control language', () => {
  it('switches faults on and off, in words for a person', () => {
    const l = landing();
    expect(l.say('jam ferry')).toBe('Ferry is jammed where it stands.');
    expect(l.say('slow hatch 30 %')).toBe('Cellar hatch moves at this share of its speed: 30 %.');
    expect(l.say('  slow   hatch 25%')).toBe('Cellar hatch moves at this share of its speed: 25 %.');
    expect(l.say('stuck-made ferry.near')).toBe('Ferry, sensor near, reads made whatever stands there.');
    expect(l.say('early ferry')).toMatch(/^Ferry, sensor far, sees light/);
    expect(l.say('list ferry')).toBe('ferry at near at rest reads near made jam stuck-made near early far');
    expect(l.say('mend ferry early')).toBe('Mended: ferry early.');
    expect(l.say('mend ferry')).toBe('Mended: ferry jam, ferry stuck-made.');
    expect(l.say('mend ferry')).toBe('Nothing was wrong with ferry.');
    expect(l.say('mend all')).toBe('Mended: hatch slow.');
  });

  it('presses, holds and releases mats and buttons', () => {
    const l = landing();
    expect(l.say('press path-mat.step 300 ms')).toBe('Path mat: step pressed for 300 ms.');
    l.run(1000);
    expect(l.on('prop/path-mat/sense/step').map((m) => [m.payload.made, m.at])).toEqual([
      [true, 500],
      [false, 800],
    ]);
    expect(l.say('hold gate-button')).toBe('Red button at the gate: button held until released.');
    l.run(60_000);
    expect(l.on('prop/gate-button/sense/button').map((m) => m.payload.made)).toEqual([true]);
    l.say('release gate-button.button');
    l.run(1);
    expect(l.on('prop/gate-button/sense/button').map((m) => m.payload.made)).toEqual([true, false]);
  });

  it('moves a prop by hand, and the board tells of it at once', () => {
    const l = landing();
    expect(l.say('put ferry 50 %')).toBe('Ferry was moved by hand: ferry at 50 % of its way at rest.');
    expect(l.on('prop/ferry/sense/near').map((m) => m.payload.made)).toEqual([false]);
    expect(l.say('put ferry far')).toContain('reads far made');
  });

  it('lists all in one line, boards in trouble last', () => {
    const l = landing();
    l.say('cut hatch');
    expect(l.say('list')).toBe(
      'ferry at near at rest reads near made; ferryman at rest; hatch at shut at rest reads shut made; ' +
        'gull at perch at rest reads perch made; bell at rest; path-mat; gate-button; hatch cut off, drives hatch',
    );
    expect(l.say('list hatch')).toBe('hatch at shut at rest reads shut made; hatch cut off, drives hatch');
    expect(l.say('list ferry-board')).toBe('ferry-board on the bus, drives ferry, ferryman');
  });

  it.each([
    ['', /empty line/],
    ['jma ferry', /no 'jma' here\. Nearest: jam/],
    ['jam', /which prop\? Say: jam PROP/],
    ['jam fery', /no prop 'fery' among these stand-ins\. Nearest: ferry/],
    ['jam path-mat', /jam can't be on Path mat: it has no moves/],
    ['jam ferry 50 %', /jam has no size/],
    ['slow ferry 2 m', /'2 m' is not what fits here\. Write a share such as 50 %/],
    ['slow ferry 200 %', /'200 %' is not what fits/],
    ['chatter ferry.middle', /Ferry has no sensor 'middle'\. It has: near, far/],
    ['chatter bell', /Bell has no sensors/],
    ['silence ferry', /ferry is a prop; its controller is ferry-board/],
    ['silence', /which controller\?/],
    ['reboot frry-board', /Nearest: ferry-board/],
    ['press ferry.far', /an end, which nobody presses\. Say: put ferry far/],
    ['press path-mat.step 500', /'500' is no time\. Write 500 ms or 2 s/],
    ['put bell far', /Bell has no end sensors/],
    ['put ferry', /Write near, far or a share/],
    ['mend nothing', /no prop or controller 'nothing'/],
    ['mend ferry rust', /no fault 'rust'/],
    ['help rust', /no fault 'rust'/],
    ['constructor ferry', /no 'constructor' here/],
    ['jam constructor', /no prop 'constructor'/],
  ])('refuses %j in one line that says what to write, and changes nothing', (line, wanted) => {
    const l = landing();
    const before = l.say('list');
    const answer = l.say(line);
    expect(answer).toMatch(/^No: [^\n]*\.$/);
    expect(answer).toMatch(wanted);
    expect(l.say('list')).toBe(before);
  });

  it('tells its words', () => {
    const l = landing();
    expect(l.say('faults')).toMatch(/^Faults: jam, slow/);
    expect(l.say('help')).toContain('press PROP.SENSOR [500 ms]');
    expect(l.say('help weak')).toBe(
      'weak prop: has a weak supply and gives up after this share of its way (60 % unless told)',
    );
    expect(l.say('quit')).toBe('Quitting.');
  });
});
