import { css, html, nothing, type SVGTemplateResult, svg } from 'lit';
import type { PropPicture } from '../../server/picture.ts';
import { sensorText } from '../prop-text.ts';
import { words } from '../words.ts';

/** Shapes that say the same as the words beside them, for eyes that read shape before letters. */

type Mark = PropPicture['state'] | 'running' | 'planned' | 'done' | 'skipped' | 'failed' | 'stopped';

const ring = svg`<circle cx="11" cy="11" r="7" class="ring" />`;
const cross = svg`<path d="M7.5 7.5l7 7m0-7l-7 7" class="ring" />`;
const diamond = svg`<path d="M11 1.5L20.5 11 11 20.5 1.5 11z" class="warn" /><path d="M11 6v6.5m0 2.5v1.5" class="bang" />`;
const turning = svg`${ring}<circle cx="11" cy="4" r="3.5" class="dot turns" />`;

const shapes: Record<Mark, SVGTemplateResult> = {
  ready: ring,
  resting: svg`${ring}<path d="M7.5 11h7" class="ring" />`,
  moving: turning,
  running: turning,
  unknown: svg`<circle cx="11" cy="11" r="8" class="ring dashed" /><path d="M8.5 9a2.5 2.5 0 1 1 2.5 2.600v1.400m0 1.5v1.400" class="ring" />`,
  silent: svg`<circle cx="11" cy="11" r="8.5" class="ring dashed" />${cross}`,
  'locked-out': diamond,
  planned: svg`<circle cx="11" cy="11" r="4" class="ring" />`,
  done: svg`<path d="M5 11.5l4 4 8-9" class="ring" />`,
  skipped: svg`<path d="M4 11h4m6 0h4M9.5 6l3 10" class="ring" />`,
  failed: diamond,
  stopped: svg`<rect x="5" y="5" width="12" height="12" class="block" />`,
};

export function markOf(mark: Mark) {
  return html`<svg class="mark" viewBox="0 0 22 22" aria-hidden="true">${shapes[mark]}</svg>`;
}

/** A prop's ends as marks in the order of the file, joined by its way: filled is made, hollow is not, dotted is not known. */
export function endsOf(prop: PropPicture) {
  const ends = Object.entries(prop.sensors).filter(([, sensor]) => sensor.kind === 'end');
  if (ends.length === 0) return nothing;
  const label = ends.map(([id, sensor]) => `${id} ${sensorText(words, prop, sensor)}`).join(', ');
  const step = ends.length > 1 ? 60 / (ends.length - 1) : 0;
  return html`<svg class="ends" viewBox="0 0 78 22" role="img" aria-label=${label}>
    <path d="M9 11h60" class=${prop.state === 'moving' ? 'way goes' : 'way'} />
    ${ends.map(([, sensor], place) => {
      const kind = sensor.fresh ? (sensor.made ? 'end made' : 'end') : 'end lost';
      return svg`<rect x=${3 + place * step} y="5" width="12" height="12" class=${kind} />`;
    })}
  </svg>`;
}

/** How far a move is, against its limit; the tick is its usual time. Decoration: the words beside it say it. */
export function progressOf(doneMs: number, usualMs: number, limitMs: number) {
  const share = (ms: number) => Math.min(100, Math.max(0, (100 * ms) / Math.max(1, limitMs)));
  return html`<svg class="progress" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true">
    <rect width="100" height="4" class="groove" />
    <rect width=${share(doneMs)} height="4" class="filled" />
    <rect x=${Math.min(99, share(usualMs))} width="0.8" height="4" class="tick" />
  </svg>`;
}

export const markLook = css`
  .mark {
    flex: none;
    width: var(--mark, 22px);
    height: var(--mark, 22px);
    overflow: visible;
  }

  .ends {
    flex: none;
    width: var(--ends, 78px);
    height: auto;
  }

  .ring {
    fill: none;
    stroke: currentColor;
    stroke-width: 2;
  }

  .dashed {
    stroke-dasharray: 3 2.5;
  }

  .dot,
  .block {
    fill: currentColor;
  }

  .warn {
    fill: var(--amber);
    stroke: var(--ink);
    stroke-width: 1.5;
  }

  .bang {
    fill: none;
    stroke: var(--on-amber);
    stroke-width: 2.5;
  }

  .way {
    fill: none;
    stroke: var(--edge);
    stroke-width: 2;
  }

  .goes {
    stroke: var(--ink);
    stroke-dasharray: 5 5;
  }

  .end {
    fill: var(--plate);
    stroke: var(--edge);
    stroke-width: 2;
  }

  .end.made {
    fill: var(--ink);
    stroke: var(--ink);
  }

  .end.lost {
    stroke-dasharray: 2 2;
  }

  .progress {
    display: block;
    width: 100%;
    height: 4px;
  }

  .groove {
    fill: var(--line);
  }

  .filled {
    fill: var(--ink);
  }

  .tick {
    fill: var(--edge);
  }

  @media (prefers-reduced-motion: no-preference) {
    .turns {
      animation: turn 2s linear infinite;
      animation-play-state: var(--motion, running);
      transform-origin: 11px 11px;
    }

    .goes {
      animation: go 1.2s linear infinite;
      animation-play-state: var(--motion, running);
    }
  }

  @keyframes turn {
    to {
      transform: rotate(360deg);
    }
  }

  @keyframes go {
    0% {
      stroke-dashoffset: 0;
    }
    100% {
      stroke-dashoffset: 10;
    }
  }
`;
