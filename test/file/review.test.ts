import { describe, expect, it } from 'vitest';
import { type Finding, reviewYard } from '../../server/file/review.ts';
import { changed, LANDING, landing, yardOf } from './landing.ts';

function find(text: string, code: Finding['code']): Finding[] {
  return reviewYard(yardOf(text)).filter((f) => f.code === code);
}

function texts(text: string, code: Finding['code']): string[] {
  return find(text, code).map((f) => f.text);
}

describe('circuits', () => {
  it('are told with what stands, the heaviest scene, the limit and what is left', () => {
    // 3.1 + 6 standing and compressor; the crossing runs 1.8 and starts 4.5: 12 − 9.1 − 1.8 = 1.1 and 9.1 + 4.5 = 13.6.
    expect(find(LANDING, 'circuit')).toEqual([
      {
        level: 'note',
        code: 'circuit',
        circuit: 'dock',
        text: 'Dock outlets: 3.1 A standing and 6 A of compressors; the heaviest scene alone, The crossing, adds 1.8 A; limit 12 A (80 % of 15 A), 1.1 A left for others. Starting, at most 13.6 A (The crossing) on a 15 A breaker.',
      },
    ]);
  });

  it('that are nearly full are warned of', () => {
    expect(find(LANDING, 'tight-circuit')).toEqual([]);
    expect(find(landing(['standing: 3.1 A', 'standing: 4.1 A']), 'tight-circuit')).toMatchObject([
      {
        level: 'warning',
        circuit: 'dock',
        text: 'Dock outlets has 0.1 A left with one scene running: hardly anything else can run beside it.',
      },
    ]);
  });

  it('that are wanted for more than they carry on average are warned of', () => {
    // (1.8 A · 13.8 s + 0.9 A · 45 s) / 66 s + (0.4 A · 20 s + 1.1 A · 6 s) / 12 s = 2.21 A.
    const busy = landing(
      ['every: 6 min', 'every: 66 s'],
      ['every: 4 min', 'every: 12 s'],
      ['standing: 3.1 A', 'standing: 4.2 A'],
    );
    expect(texts(busy, 'circuit-overbooked')[0]).toMatch(
      /^All that is wanted of Dock outlets is 2\.21 A on average, and 1\.8 A are free/u,
    );
    expect(texts(LANDING, 'circuit-overbooked')).toEqual([]);
  });

  it('above 80 % are for rated assemblies', () => {
    expect(find(landing(['continuous: 80 %', 'continuous: 100 %']), 'above-80')).toMatchObject([
      { level: 'warning', circuit: 'dock' },
    ]);
    expect(find(LANDING, 'above-80')).toEqual([]);
  });

  it('without a scene say so', () => {
    const spare = landing(['tanks:\n', '  spare: {volts: 230, breaker: 16 A}\ntanks:\n']);
    expect(texts(spare, 'circuit')[1]).toBe(
      'spare: 0 A standing; no scene draws on it; limit 12.8 A (80 % of 16 A).',
    );
  });

  it('a cord of a prop is reviewed with what its moves draw', () => {
    // 2 · 30.48 m · 7.95/304.8 ohm/m · 1.8 A = 2.862 V of 120 V = 2.4 %; starting 4.5 A: 6.0 %.
    const cord = landing([
      '    service-every',
      '    cable: {length: 100 ft, gauge: 18 AWG}\n    service-every',
    ]);
    expect(find(cord, 'voltage-drop')).toMatchObject([
      {
        level: 'note',
        prop: 'ferry',
        circuit: 'dock',
        text: 'Cord of Ferry: 30.48 m of 18 AWG lose 2.86 V at 1.8 A, 2.4 % of 120 V; starting, at 4.5 A, 6 %.',
      },
    ]);
    const long = changed(cord, ['100 ft', '150 ft']);
    expect(find(long, 'voltage-drop')[0]).toMatchObject({ level: 'warning' });
    expect(texts(long, 'voltage-drop')[0]).toContain(
      '3.6 % of 120 V, more than 3 %: take a thicker or shorter one',
    );
  });
});

describe('air', () => {
  it('is told in litres an hour against what is delivered', () => {
    // 6 gal from 120 to 70 psi: 22.712 · 344.738 / 101.325 = 77.27 l; 2.4 l every 4 min = 36 l/h; 2.6 cfm = 4417 l/h.
    expect(texts(LANDING, 'tank')).toEqual([
      'shed: 77.3 l of free air from cut-out (120 psi (8.3 bar)) down to working (70 psi (4.8 bar)). Wanted 36 l an hour, delivered 4417.4 l: the compressor runs 0.8 % of the time.',
    ]);
  });

  it('that is wanted faster than it comes is warned of', () => {
    const much = landing(
      ['air: {shed: 2.4 l}', 'air: {shed: 30 l}'],
      ['delivery: 2.6 cfm', 'delivery: 7 l/min'],
    );
    expect(find(much, 'tank-overbooked')).toMatchObject([{ level: 'warning', tank: 'shed' }]);
    expect(texts(much, 'tank-overbooked')[0]).toContain('is wanted for 450 l an hour and gets 420 l');
  });

  it('that can stick just above cut-in is warned of', () => {
    // Between 90 and 70 psi: 22.712 · 137.895 / 101.325 = 30.91 l.
    expect(texts(landing(['air: {shed: 2.4 l}', 'air: {shed: 30.8 l}']), 'tank-may-stick')).toEqual([]);
    expect(texts(landing(['air: {shed: 2.4 l}', 'air: {shed: 31 l}']), 'tank-may-stick')).toHaveLength(1);
  });

  it('keeps its force, and a compressor its start', () => {
    expect(texts(LANDING, 'stored-air')[0]).toContain('Cellar hatch moves by air');
    expect(texts(LANDING, 'compressor-start')[0]).toContain('running 6 A on Dock outlets');
  });
});

describe('zones, scenes and props', () => {
  it('zones are told in seconds of an hour', () => {
    // (58.799 + 20) s every 6 min: ten times an hour.
    expect(texts(LANDING, 'zone')).toEqual([
      'Zone The pond: one scene at a time, wanted 788 s of 3600 s in an hour, gaps of 20 s included.',
      'Zone The porch: wanted 12.1 % of the time by one scene or another, without a limit.',
    ]);
    expect(find(landing(['every: 6 min', 'every: 70 s']), 'zone-overbooked')).toMatchObject([
      { level: 'warning', zone: 'pond' },
    ]);
  });

  it('a scene that aims to start before it is over and rested is warned of', () => {
    expect(texts(landing(['every: 6 min', 'every: 90 s']), 'scene-too-often')).toEqual([
      "The crossing takes 58.8 s and then rests 60 s, and aims to start every 90 s: it can't keep that.",
    ]);
  });

  it('duties are told as shares', () => {
    expect(texts(LANDING, 'duty')).toEqual([
      'Ferry is wanted moving 3.8 % of the time, and its duty is 40 % of any 10 min.',
    ]);
    expect(texts(landing(['on: 40 %', 'on: 3 %']), 'duty-overbooked')).toHaveLength(1);
  });

  it('a prop that several scenes want all the time is warned of', () => {
    const busy = landing(['  lamps-up: {title: Lamps up,', '  lamps-up: {title: Lamps up, every: 21 s,']);
    expect(find(busy, 'prop-overbooked')).toMatchObject([{ level: 'warning', prop: 'lamp' }]);
  });

  it('what only a clock ends is told, but not lamps and bells', () => {
    expect(find(LANDING, 'cannot-stop-itself').map((f) => f.prop)).toEqual(['hatch']);
    const turntable = landing([
      '  bell: {title: Bell,',
      '  table: {title: Turntable, sensors: {index: plain}, moves: {turn: {until: index, usual: 9 s, limit: 15 s}}}\n  bell: {title: Bell,',
    ]);
    expect(find(turntable, 'cannot-stop-itself').map((f) => f.prop)).toEqual(['hatch', 'table']);
  });

  it('ends without a home, limits far off and drives that contradict are told', () => {
    expect(find(landing(['    home: shut\n', '']), 'no-home').map((f) => f.prop)).toEqual(['hatch']);
    expect(
      texts(landing(['usual: 7 s\n        limit: 12 s', 'usual: 7 s\n        limit: 24 s']), 'wide-limit'),
    ).toEqual([
      'Ferry, `out`: usual 7 s, limit 24 s. A jam would push against its stop for 17 s before it is a fault.',
    ]);
    expect(texts(LANDING, 'drive')).toEqual([
      'Ferry, `back`: no usual time in the file; its drive makes 1.4 m in 6.8 s (0.21 m/s).',
    ]);
    expect(find(landing(['teeth: 16', 'teeth: 40']), 'drive-differs')).toMatchObject([
      { level: 'warning', prop: 'ferry' },
    ]);
  });
});

describe('the yard as a whole', () => {
  it('without a stop station is warned of', () => {
    expect(find(LANDING, 'no-station')).toEqual([]);
    const without = LANDING.replace(/ {2}gate-button: .*\n/u, '');
    expect(find(without, 'no-station')).toMatchObject([{ level: 'warning' }]);
  });

  it.each(['127.0.0.1:1883', 'localhost:1883', '127.0.1.1:1883', '"[::1]:1883"'])(
    'that listens on %s alone is warned of',
    (listen) => {
      expect(find(landing(['listen: 127.0.0.1:1883', `listen: ${listen}`]), 'loopback')).toMatchObject([
        { level: 'warning' },
      ]);
    },
  );

  it.each(['listen: 0.0.0.0:1883', 'listen: 192.0.2.4:1883', 'url: mqtt://127.0.0.1:1883'])(
    'with %s is not',
    (bus) => {
      expect(find(landing(['listen: 127.0.0.1:1883', bus]), 'loopback')).toEqual([]);
    },
  );

  it('says what else there is to know', () => {
    expect(find(landing(['silence: 1 s', 'silence: 5 s']), 'long-silence')).toMatchObject([
      { level: 'warning' },
    ]);
    expect(find(landing(['restart: ask', 'restart: auto']), 'restarts-by-itself')).toHaveLength(1);
    expect(find(landing(['    quiet: "21:00"\n', '']), 'loud-without-quiet')).toHaveLength(1);
    expect(find(LANDING, 'loud-without-quiet')).toEqual([]);
  });
});
