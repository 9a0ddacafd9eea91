import type { networkInterfaces } from 'node:os';
import QRCode from 'qrcode';
import { describe, expect, it } from 'vitest';
import { joinUrls, lanAddresses, pageUrl, qrSvg, terminalQr } from '../../server/api/qr.ts';
import { TestYard } from './harness.ts';

type Interfaces = ReturnType<typeof networkInterfaces>;
const card = (address: string, internal = false) => ({
  address,
  internal,
  family: address.includes(':') ? 'IPv6' : 'IPv4',
  netmask: '',
  mac: '',
  cidr: null,
  scopeid: 0,
});

const CARDS = {
  lo: [card('127.0.0.1', true), card('::1', true)],
  eth0: [card('fd00::12'), card('fe80::1'), card('192.168.1.20')],
  wlan0: [card('169.254.3.4'), card('10.0.0.5')],
} as unknown as Interfaces;

describe('addresses for phones', () => {
  it('are those of the network, numbers of four parts first', () => {
    expect(lanAddresses(CARDS)).toEqual(['192.168.1.20', '10.0.0.5', 'fd00::12']);
    expect(lanAddresses({})).toEqual([]);
  });

  it('are what the page listens on', () => {
    const lan = lanAddresses(CARDS);
    expect(joinUrls('0.0.0.0', 10310, lan)).toEqual(['http://192.168.1.20:10310/', 'http://10.0.0.5:10310/']);
    expect(joinUrls('::', 10310, lan)).toHaveLength(3);
    expect(joinUrls('192.168.1.20', 80, lan)).toEqual(['http://192.168.1.20:80/']);
    for (const own of ['127.0.0.1', '127.0.1.1', '::1', 'localhost'])
      expect(joinUrls(own, 10310, lan)).toEqual([]);
    expect(pageUrl('fd00::12', 10310)).toBe('http://[fd00::12]:10310/');
  });
});

/** Reads a code back: the dark modules of the SVG's one path, row by row, as the code's own matrix has them. */
function modulesOf(svg: string, size: number, margin: number): boolean[] {
  const dark = new Array<boolean>(size * size).fill(false);
  const path = /<path stroke="#000000" d="([^"]+)"/.exec(svg)?.[1] ?? '';
  let x = 0;
  let y = 0;
  for (const [, command, numbers] of path.matchAll(/([Mmh])([^Mmh]*)/g)) {
    const [a = 0, b = 0] = (numbers ?? '').match(/-?[\d.]+/g)?.map(Number) ?? [];
    if (command === 'M') [x, y] = [a, b];
    else if (command === 'm') [x, y] = [x + a, y + b];
    else {
      for (let i = 0; i < a; i += 1) dark[(Math.floor(y) - margin) * size + (x - margin + i)] = true;
      x += a;
    }
  }
  return dark;
}

describe('the code', () => {
  it('holds the address, with the four modules of quiet zone that ISO/IEC 18004 wants', async () => {
    // Oracle: the encoder's own matrix of the same text; the quiet zone of 4 modules is from memory of ISO/IEC 18004.
    const url = 'http://192.168.1.20:10310/';
    const svg = await qrSvg(url);
    const { size, data } = QRCode.create(url, { errorCorrectionLevel: 'M' }).modules;
    expect(svg).toMatch(new RegExp(`viewBox="0 0 ${size + 8} ${size + 8}"`));
    expect(modulesOf(svg, size, 4)).toEqual([...data].map(Boolean));
  });

  it('can be shown in a terminal', async () => {
    const text = await terminalQr('http://192.168.1.20:10310/');
    expect(text.split('\n').length).toBeGreaterThan(10);
    expect(text).toMatch(/[▀▄█]/);
  });
});

describe('joining', () => {
  it('is told as not to be had where only this computer can open the page', async () => {
    const yard = await TestYard.start();
    try {
      expect((await yard.get('/api/join')).json).toEqual({ addresses: [] });
      const said = await yard.get('/api/join.svg');
      expect(said.status).toBe(404);
      expect(said.json.detail).toMatch(/DUSKLATCH_HOST=0\.0\.0\.0/);
      expect(yard.api.url).toBe(`http://127.0.0.1:${yard.api.port}/`);
    } finally {
      await yard.end();
    }
  });

  it('gives the address and its code where it listens to the network', async () => {
    const yard = await TestYard.start({ host: '0.0.0.0' });
    try {
      const here = joinUrls('0.0.0.0', yard.api.port);
      expect((await yard.get('/api/join')).json).toEqual({ addresses: here });
      expect(yard.api.addresses).toEqual(here);
      const said = await yard.get('/api/join.svg');
      expect(said.status).toBe(here.length > 0 ? 200 : 404);
      if (here[0]) expect(said.text).toBe(await qrSvg(here[0]));
      expect((await yard.get('/api/join.svg?n=99')).status).toBe(404);
      expect((await yard.get('/api/join.svg?n=x')).status).toBe(422);
    } finally {
      await yard.end();
    }
  });
});
