import { css } from 'lit';
import { amberEdge } from './look.ts';

/** How the clock ruler looks: outlines are plans, bars are what was. */
export const rulerLook = css`
  .acts {
    gap: 6px;
    margin: 0 0 10px;
  }

  .acts button {
    padding: 8px 12px;
  }

  /* All six in one line of a phone, so that none comes to stand alone. */
  @media (max-width: 500px) {
    .acts button {
      flex: 1 1 auto;
      padding: 8px 4px;
    }
  }

  [aria-pressed='true'] {
    background: var(--bright);
    box-shadow: inset 0 0 0 1.5px var(--edge);
  }

  .ruler {
    display: block;
    width: 100%;
    background: var(--plate);
    cursor: grab;
    /* Up and down scrolls the page; across, and two fingers, are the ruler's. */
    touch-action: pan-y;
    user-select: none;
    -webkit-user-select: none;
  }

  text {
    fill: var(--ink);
    font: 14px var(--letter);
  }

  .zone,
  .side {
    fill: var(--soft);
    /* Lines of the clock do not strike a name through. */
    stroke: var(--plate);
    stroke-width: 4px;
    paint-order: stroke;
  }

  .tick {
    stroke: var(--line);
  }

  .edge {
    stroke: var(--edge);
    stroke-width: 2;
    stroke-dasharray: 6 4;
  }

  .now {
    stroke: var(--ink);
    stroke-width: 3;
  }

  .flag {
    fill: var(--ink);
  }

  .flagged {
    fill: var(--field);
    font-weight: 700;
  }

  .shut {
    fill: var(--field);
    opacity: 0.6;
  }

  .planned {
    fill: none;
    stroke: var(--edge);
    stroke-width: 1.5;
  }

  .was {
    fill: var(--edge);
  }

  .runs {
    fill: var(--ink);
  }

  .missed {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1.5;
    stroke-dasharray: 3 3;
  }

  .late {
    stroke: var(--edge);
    stroke-width: 1.5;
  }

  .ruler + p {
    margin-top: 6px;
  }

  ul {
    padding: 0;
    list-style: none;
  }

  li {
    display: grid;
    grid-template-columns: 22px 3.2em minmax(0, 1fr);
    gap: 0 10px;
    align-items: center;
    padding: 8px 12px 8px 18px;
    margin-top: 2px;
    background: var(--plate);
    box-shadow: ${amberEdge};
  }
`;
