// Loaded before the daemon: SIGWINCH steps its wall clock by so many ms as stand first in STEPS, then the next.
const steps = (process.env.STEPS ?? '').split(',').map(Number);
const real = Date.now;
let offset = 0;
Date.now = () => real() + offset;
process.on('SIGWINCH', () => {
  offset += steps.shift() ?? 0;
});
