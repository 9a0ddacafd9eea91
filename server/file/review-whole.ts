import { tzCheck } from '../calendar/tz.ts';
import type { Yard } from '../yard/types.ts';
import { writeTime } from './quantities.ts';
import type { Finding } from './review.ts';

/** Silence beyond which a prop runs on uncomfortably long without the yard computer. Common practice, no source. */
const LONG_SILENCE_MS = 2000;

/** What concerns the yard as a whole: the red button, the bus, the clock. */
export function reviewWhole(yard: Yard): Finding[] {
  const findings: Finding[] = [];
  const add = (level: Finding['level'], code: Finding['code'], text: string): void => {
    findings.push({ level, code, text });
  };
  const real = [...yard.props.values()].filter((p) => p.kind === 'prop');
  if (real.length > 0 && ![...yard.props.values()].some((p) => p.kind === 'stop-station')) {
    add(
      'warning',
      'no-station',
      'No stop station: the yard computer does not see the red button. Wire its spare contact to a board and add a prop of `kind: stop-station` with `sensors: {button: plain}`. The button itself must work without any computer.',
    );
  }
  const { listen } = yard.bus;
  if (listen && real.length > 0 && isLoopback(listen.host)) {
    add(
      'warning',
      'loopback',
      `The bus listens on ${listen.host} alone: stand-ins on this computer reach it, boards on the network can't. With real props write \`listen: 0.0.0.0:${listen.port}\`, or the address of this computer in the yard's network.`,
    );
  }
  if (yard.bus.silenceMs > LONG_SILENCE_MS) {
    add(
      'warning',
      'long-silence',
      `A prop that loses the yard computer moves on for up to ${writeTime(yard.bus.silenceMs)} (\`silence\`). 1 s is usual.`,
    );
  }
  if (yard.restart === 'auto') {
    add(
      'note',
      'restarts-by-itself',
      'After a power cut in an open night the yard gives notice, homes and goes on by itself (`restart: auto`). `ask` waits for a person.',
    );
  }
  const loud = [...yard.props.values()].some((p) => [...p.moves.values()].some((m) => m.loud));
  if (loud && yard.nights.some((n) => n.quiet === null)) {
    add(
      'note',
      'loud-without-quiet',
      'There are loud moves, and nights without `quiet`: they may run until close. Mind the neighbours and the local rules.',
    );
  }
  const zone = tzCheck(yard);
  if (zone.warning !== null) add('warning', 'old-time-zones', zone.warning);
  return findings;
}

function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127\./u.test(host);
}
