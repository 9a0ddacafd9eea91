import { type AddressInfo, createServer, type Socket } from 'node:net';
import { generate, parser } from 'mqtt-packet';

export interface CurtBroker {
  readonly url: string;
  /** All that was sent to it over connections that it accepted, one buffer for each connection. */
  readonly taken: Buffer[];
  close(): Promise<void>;
}

/**
 * No broker but its voice: it ends the connection without a word on any other protocol level than `level`, says yes to
 * everything else, passes nothing on, and keeps the bytes it was sent as they came.
 */
export async function curtBroker(level: 4 | 5 = 4): Promise<CurtBroker> {
  const sockets = new Set<Socket>();
  const taken: Buffer[] = [];
  const version = { protocolVersion: level };
  const server = createServer((socket) => {
    sockets.add(socket);
    const at = taken.push(Buffer.alloc(0)) - 1;
    const reader = parser();
    const answer = (packet: Parameters<typeof generate>[0]) => socket.write(generate(packet, version));
    socket.on('error', () => {});
    socket.on('data', (chunk) => {
      taken[at] = Buffer.concat([taken[at]!, chunk]);
      reader.parse(chunk);
    });
    reader.on('packet', (packet) => {
      if (packet.cmd === 'connect' && packet.protocolVersion !== level) {
        taken[at] = Buffer.alloc(0);
        socket.destroy();
      } else if (packet.cmd === 'connect') {
        answer({ cmd: 'connack', returnCode: 0, reasonCode: 0, sessionPresent: false });
      } else if (packet.cmd === 'subscribe') {
        answer({ cmd: 'suback', messageId: packet.messageId!, granted: packet.subscriptions.map(() => 1) });
      } else if (packet.cmd === 'publish' && packet.qos === 1) {
        answer({ cmd: 'puback', messageId: packet.messageId! });
      } else if (packet.cmd === 'disconnect') {
        socket.end();
      }
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    url: `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`,
    taken,
    close() {
      for (const socket of sockets) socket.destroy();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}
