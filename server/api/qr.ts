import { networkInterfaces } from 'node:os';
import QRCode from 'qrcode';

/**
 * Addresses of this computer that others on its network can use, IPv4 first: the number is what a person reads out.
 * Link-local ones are left out, since they need the name of a network card besides.
 */
export function lanAddresses(
  interfaces: ReturnType<typeof networkInterfaces> = networkInterfaces(),
): string[] {
  const found = Object.values(interfaces)
    .flatMap((list) => list ?? [])
    .filter((i) => !i.internal && !/^(fe80:|169\.254\.)/i.test(i.address));
  const of = (family: string) => found.filter((i) => i.family === family).map((i) => i.address);
  return [...of('IPv4'), ...of('IPv6')];
}

export function pageUrl(address: string, port: number, secure = false): string {
  return `${secure ? 'https' : 'http'}://${address.includes(':') ? `[${address}]` : address}:${port}/`;
}

/** Where phones reach a page that listens on this host; none where it listens to this computer alone. */
export function joinUrls(
  host: string,
  port: number,
  lan: readonly string[] = lanAddresses(),
  secure = false,
): string[] {
  const everywhere = host === '0.0.0.0' || host === '::' || host === '';
  const own = host === 'localhost' || host === '::1' || host.startsWith('127.');
  const shown = everywhere ? lan.filter((a) => host !== '0.0.0.0' || !a.includes(':')) : own ? [] : [host];
  return shown.map((address) => pageUrl(address, port, secure));
}

/** For a terminal of dark or light ground, with the quiet zone around it. */
export function terminalQr(url: string): Promise<string> {
  return QRCode.toString(url, { type: 'terminal', small: true, errorCorrectionLevel: 'L' });
}

export function qrSvg(url: string): Promise<string> {
  return QRCode.toString(url, { type: 'svg', errorCorrectionLevel: 'M', margin: 4 });
}
