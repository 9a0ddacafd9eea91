import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { timelineOf } from '../../server/yard/timeline.ts';
import { LANDING, landing, notesIn, YEARS, yardOf } from './landing.ts';

describe('a yard file with every key', () => {
  const yard = yardOf(LANDING);

  it('reads without errors and notes', () => {
    expect(notesIn(LANDING)).toEqual([]);
  });

  it('gives the place, the bus and the nights', () => {
    expect(yard).toMatchObject({
      id: 'landing',
      title: 'The landing',
      timezone: 'America/Chicago',
      latitude: 41.88,
      longitude: -87.63,
      seed: 7,
      restart: 'ask',
      bus: { root: 'yard', listen: { host: '127.0.0.1', port: 1883 }, url: null, silenceMs: 1000 },
      dark: ['2026-10-17'],
    });
    expect(yard.nights).toEqual([
      {
        prepare: '0 16 * 10 fri,sat',
        open: { kind: 'sun', event: 'sunset', offsetMs: 20 * 60_000 },
        close: { kind: 'clock', hour: 22, minute: 30 },
        quiet: { kind: 'clock', hour: 21, minute: 0 },
        opens: 'by itself',
        noticeMs: 30_000,
        noticeScene: 'lamps-up',
        fallbackOpen: { kind: 'clock', hour: 18, minute: 30 },
      },
    ]);
  });

  it('gives power, air and zones in the units of the daemon', () => {
    expect(yard.circuits.get('dock')).toEqual({
      id: 'dock',
      title: 'Dock outlets',
      volts: 120,
      breakerAmps: 15,
      continuous: 0.8,
      standingAmps: 3.1,
      cable: null,
    });
    const shed = yard.tanks.get('shed')!;
    expect(shed.title).toBe('shed');
    expect(shed.compressor).toEqual({ circuit: 'dock', amps: 6 });
    expect(shed.volumeLitres).toBeCloseTo(22.7125, 4);
    expect(shed.cutInKpa).toBeCloseTo(620.528, 3);
    expect(shed.cutOutKpa).toBeCloseTo(827.371, 3);
    expect(shed.workingKpa).toBeCloseTo(482.633, 3);
    expect(shed.deliveryLpm).toBeCloseTo(73.624, 3);
    expect(yard.zones.get('pond')).toEqual({ id: 'pond', title: 'The pond', atMost: 1, gapMs: 20_000 });
    expect(yard.zones.get('porch')).toEqual({ id: 'porch', title: 'The porch', atMost: Infinity, gapMs: 0 });
  });

  it('gives props with their moves, the usual time from the drive where none is written', () => {
    const ferry = yard.props.get('ferry')!;
    expect(ferry).toMatchObject({
      kind: 'prop',
      controller: 'ferry-board',
      home: 'near',
      homeMove: 'back',
      restMs: 30_000,
      duty: { on: 0.4, overMs: 600_000 },
      drive: { rpm: 152, teeth: 16, pitchMm: 5.08, travelMm: 1400 },
      serviceEvery: 2000,
    });
    expect(ferry.moves.get('out')).toEqual({
      id: 'out',
      lastsMs: null,
      until: 'far',
      usualMs: 7000,
      derived: false,
      limitMs: 12_000,
      needs: [{ kind: 'at-rest', prop: 'ferryman' }],
      loads: [{ circuit: 'dock', runAmps: 1.8, surgeAmps: 4.5, surgeMs: 400 }],
      air: [],
      loud: false,
    });
    // 1400 mm / (152/60 · 16 · 5.08 mm) s = 6.799 s
    expect(ferry.moves.get('back')).toMatchObject({ usualMs: 6799, derived: true });
    expect(yard.props.get('ferryman')!.moves.get('row')).toMatchObject({
      lastsMs: 45_000,
      usualMs: 45_000,
      limitMs: 50_000,
      loads: [{ circuit: 'dock', runAmps: 0.9, surgeAmps: 0.9, surgeMs: 0 }],
      loud: true,
    });
    expect(yard.props.get('hatch')!.moves.get('slam')).toMatchObject({
      limitMs: 6500,
      air: [{ tank: 'shed', litres: 2.4 }],
    });
    expect(yard.props.get('gate-button')!.kind).toBe('stop-station');
  });

  it('gives scenes with their steps and the props that a run holds', () => {
    const crossing = yard.scenes.get('crossing')!;
    expect(crossing).toMatchObject({
      zone: 'pond',
      everyMs: 360_000,
      vary: 0.2,
      weight: 1,
      restMs: 60_000,
      on: { prop: 'path-mat', sensor: 'step' },
      againAfterMs: 180_000,
      ifItFails: [{ prop: 'ferry', move: 'back' }],
      props: ['ferry', 'ferryman'],
    });
    expect(timelineOf(yard, crossing).lengthMs).toBe(7000 + 45_000 + 6799);
    expect(yard.scenes.get('porch-scare')!.steps).toEqual([
      {
        kind: 'together',
        moves: [
          { prop: 'lamp', move: 'flicker' },
          { prop: 'hatch', move: 'slam' },
        ],
      },
      { kind: 'wait', ms: 2000 },
      { kind: 'move', prop: 'hatch', move: 'close' },
      { kind: 'move', prop: 'bell', move: 'toll' },
    ]);
    expect(yard.scenes.get('lamps-up')).toMatchObject({ zone: null, everyMs: null, on: null });
  });

  it('knows each controller with its props', () => {
    expect([...yard.controllers]).toEqual([
      ['ferry-board', ['ferry']],
      ['ferryman', ['ferryman']],
      ['hatch', ['hatch']],
      ['lamp', ['lamp']],
      ['bell', ['bell']],
      ['path-mat', ['path-mat']],
      ['gate-button', ['gate-button']],
    ]);
  });
});

const SMALL = `
yard: {id: small, title: Small, timezone: Europe/Berlin, latitude: 52.5, longitude: 13.4}
nights: [{prepare: "0 15 * 10 *", open: "18:00", close: "21:00", opens: by hand}]
props:
  "10": {title: Ten, moves: {go: {lasts: 10 s}}}
  2: {title: Two, moves: {go: {lasts: 1 s, limit: 9 s}}}
  constructor: {title: Builder, sensors: {a: end}, moves: {go: {until: a, usual: 1 s, limit: 2 s}}}
scenes:
  all: {title: All, steps: [2.go, constructor.go, 10.go]}
`;

describe('what a file leaves out', () => {
  const yard = yardOf(SMALL);

  it('has the defaults of the page', () => {
    expect(yard).toMatchObject({ seed: 1, restart: 'ask', dark: [] });
    expect(yard.bus).toEqual({
      root: 'yard',
      listen: { host: '127.0.0.1', port: 1883 },
      url: null,
      silenceMs: 1000,
    });
    expect(yard.nights[0]).toMatchObject({
      quiet: null,
      noticeMs: 30_000,
      noticeScene: null,
      fallbackOpen: null,
    });
    expect(yard.props.get('10')).toMatchObject({
      kind: 'prop',
      zone: null,
      controller: '10',
      home: null,
      homeMove: null,
      restMs: 0,
      duty: null,
      serviceEvery: null,
      cable: null,
    });
    // A timed move's limit: 1.5 × lasts + 2 s.
    expect(yard.props.get('10')!.moves.get('go')!.limitMs).toBe(17_000);
    expect(yard.scenes.get('all')).toMatchObject({
      everyMs: null,
      vary: 0,
      weight: 1,
      restMs: 0,
      againAfterMs: 0,
    });
    expect([yard.circuits.size, yard.tanks.size, yard.zones.size]).toEqual([0, 0, 0]);
  });

  it('keeps the order of the file, for names like numbers too', () => {
    expect([...yard.props.keys()]).toEqual(['10', '2', 'constructor']);
  });

  it('has circuits at 80 % with nothing standing', () => {
    const text = SMALL.replace('props:', 'circuits: {dock: {volts: 230, breaker: 16 A}}\nprops:');
    expect(yardOf(text).circuits.get('dock')).toEqual({
      id: 'dock',
      title: 'dock',
      volts: 230,
      breakerAmps: 16,
      continuous: 0.8,
      standingAmps: 0,
      cable: null,
    });
  });
});

describe('ways of writing', () => {
  it('takes unquoted clock times and dates: YAML 1.2 knows no sexagesimal numbers', () => {
    const yard = yardOf(
      landing(['close: "22:30"', 'close: 22:30'], ['fallback-open: "18:30"', 'fallback-open: 18:30']),
    );
    expect(yard.nights[0]).toMatchObject({
      close: { kind: 'clock', hour: 22, minute: 30 },
      fallbackOpen: { kind: 'clock', hour: 18, minute: 30 },
    });
  });

  it('takes a key named on, which YAML 1.1 would read as true', () => {
    expect(yardOf(LANDING).scenes.get('crossing')!.on).not.toBeNull();
  });

  it('takes Windows line ends and a byte order mark', () => {
    expect(yardOf(`\ufeff${LANDING.replaceAll('\n', '\r\n')}`)).toEqual(yardOf(LANDING));
  });

  it('takes anchors and aliases, which are plain YAML', () => {
    const text = landing(
      ['needs: [ferryman at rest]\n        load:', 'needs: &still [ferryman at rest]\n        load:'],
      [
        '        limit: 12 s\n        needs: [ferryman at rest]\n',
        '        limit: 12 s\n        needs: *still\n',
      ],
    );
    expect(text).toContain('*still');
    expect(yardOf(text)).toEqual(yardOf(LANDING));
  });

  it('takes a broker elsewhere instead of the embedded one', () => {
    const text = landing(['listen: 127.0.0.1:1883', 'url: mqtt://192.0.2.10:1883']);
    expect(yardOf(text).bus).toMatchObject({ listen: null, url: 'mqtt://192.0.2.10:1883' });
  });

  it('takes an address of IP version 6', () => {
    const text = landing(['listen: 127.0.0.1:1883', 'listen: "[::1]:1884"']);
    expect(yardOf(text).bus.listen).toEqual({ host: '::1', port: 1884 });
  });

  it('takes a cable by gauge and by cross-section', () => {
    const dock = 'standing: 3.1 A}';
    const yard = yardOf(landing([dock, 'standing: 3.1 A, cable: {length: 20 m, gauge: 1.5 mm²}}']));
    expect(yard.circuits.get('dock')!.cable).toEqual({ lengthMm: 20_000, gauge: { mm2: 1.5 } });
    const other = yardOf(landing([dock, 'standing: 3.1 A, cable: {length: 50 ft, gauge: 14 AWG}}']));
    expect(other.circuits.get('dock')!.cable).toEqual({ lengthMm: 15_240, gauge: { awg: 14 } });
  });

  it('takes a home-move where no one move ends at home', () => {
    const text = landing(
      ['      slam: {lasts', '      push: {until: shut, usual: 2 s, limit: 5 s}\n      slam: {lasts'],
      ['    home: shut', '    home: shut\n    home-move: close'],
    );
    expect(yardOf(text).props.get('hatch')!.homeMove).toBe('close');
  });
});

describe('the yards in config/', () => {
  it.each(['saltmarsh', 'ferry'])('%s.yaml reads without errors and notes', (name) => {
    const text = readFileSync(new URL(`../../config/${name}.yaml`, import.meta.url), 'utf8');
    const read = readYard(text, name, YEARS);
    expect(read.ok ? read.notes : read.errors).toEqual([]);
  });

  it('Saltmarsh Landing is the size that its head says', () => {
    const text = readFileSync(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8');
    const yard = yardOf(text);
    const moving = [...yard.props.values()].filter((p) => p.moves.size > 0);
    expect(moving.length).toBeGreaterThanOrEqual(10);
    expect(yard.circuits.size).toBe(3);
    expect(yard.tanks.size).toBe(1);
    expect(yard.zones.size).toBe(3);
    expect(yard.scenes.size).toBeGreaterThanOrEqual(6);
    expect([...yard.props.values()].some((p) => p.kind === 'stop-station')).toBe(true);
  });
});
