import { Counter, Gauge, type Registry } from 'prom-client';

/** What the api counts about itself. Labels come from our own lists, never from a caller, so their number is bounded. */
export interface Figures {
  request(call: string, status: number): void;
  stop(bus: boolean): void;
  signIn(result: 'in' | 'wrong' | 'barred' | 'busy'): void;
  /** Something came in by the socket, which is never listened to. */
  inbound(): void;
  /** A subscriber fell behind and has to ask anew. */
  behind(): void;
}

export function countFigures(registry: Registry, now: { sockets(): number; connections(): number }): Figures {
  const registers = [registry];
  const counter = <L extends string>(name: string, help: string, labelNames: L[]) =>
    new Counter({ name: `dusklatch_${name}`, help, labelNames, registers });
  const gauge = (name: string, help: string, read: () => number) =>
    new Gauge({
      name: `dusklatch_${name}`,
      help,
      registers,
      collect() {
        this.set(read());
      },
    });
  const requests = counter('http_requests_total', 'Answers by call and status.', ['call', 'status']);
  const stops = counter('stop_requests_total', 'Stops asked for by HTTP.', ['bus']);
  const signIns = counter('sign_ins_total', 'Sign-ins by result.', ['result']);
  const inbound = counter('feed_inbound_total', 'Messages that came by the socket and were ignored.', []);
  const behind = counter('feed_behind_total', 'Times that a subscriber fell behind.', []);
  gauge('feed_sockets', 'Pages that listen.', now.sockets);
  gauge('http_connections', 'Open connections.', now.connections);
  return {
    request: (call, status) => requests.inc({ call, status: String(status) }),
    stop: (bus) => stops.inc({ bus: String(bus) }),
    signIn: (result) => signIns.inc({ result }),
    inbound: () => inbound.inc(),
    behind: () => behind.inc(),
  };
}
