// The floor for memory, start, idle and timers: bare node with express, socket.io and the same broker, and the same heartbeat.
import { createServer } from 'node:http';
import { createServer as createNet } from 'node:net';
import { Aedes } from 'aedes';
import express from 'express';
import { Server } from 'socket.io';

const [port, busPort] = process.argv.slice(2).map(Number);
const app = express();
app.get('/readyz', (_, res) => res.send('ok'));
const http = createServer(app);
new Server(http);
const broker = await Aedes.createBroker();
createNet(broker.handle).listen(busPort, '127.0.0.1');
http.listen(port, '127.0.0.1');
let n = 0;
setInterval(() => {
  const payload = JSON.stringify({ desk: 'bare', epoch: 1, n: ++n, silenceMs: 1000, stop: 0 });
  broker.publish(
    { topic: 'yard/heartbeat', payload, qos: 0, retain: false, cmd: 'publish', dup: false },
    () => {},
  );
}, 250);

// at each of these instants of the wall clock, that instant: what a timer and a hop cost
broker.subscribe('bench/at', (packet, done) => {
  for (const at of JSON.parse(packet.payload.toString())) {
    setTimeout(
      () => {
        const payload = String(at);
        broker.publish(
          { topic: 'bench/now', payload, qos: 0, retain: false, cmd: 'publish', dup: false },
          () => {},
        );
      },
      at - (performance.timeOrigin + performance.now()),
    );
  }
  done();
});
