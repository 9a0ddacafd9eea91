import { css } from 'lit';

/**
 * The edge of what is not as it should be, as a shadow: seen by its ink without colour too. No variable of tokens.css,
 * which would keep its amber where an element takes the colour out.
 */
export const amberEdge = css`inset 6px 0 0 var(--amber), inset 7px 0 0 var(--ink)`;

/** What all elements share: letters, buttons, the frame of a card. Colours come from tokens.css. */
export const look = css`
  :host {
    display: block;
  }

  *,
  ::before,
  ::after {
    box-sizing: border-box;
  }

  h1,
  h2,
  h3,
  p,
  ol,
  ul,
  dl,
  dd {
    margin: 0;
  }

  h1 {
    font-size: 22px;
    line-height: 1.2;
  }

  h1 + p {
    max-width: 46rem;
    margin-top: 6px;
  }

  h2 {
    margin: 20px 0 8px;
    color: var(--soft);
    font-size: 15px;
    font-weight: 600;
    line-height: 1.3;
  }

  h3 {
    font-size: 18px;
    line-height: 1.25;
  }

  /* What a field can't take: a shape and words, beside the colour. */
  .wrong {
    color: var(--amber-ink);
    font-weight: 600;
  }

  .wrong::before {
    content: '▲ ';
  }

  [aria-invalid='true'] {
    border-width: 3px;
    border-color: var(--amber-ink);
  }

  .soft {
    color: var(--soft);
  }

  .card {
    padding: 14px;
    border-radius: var(--round);
    background: var(--plate);
  }

  .acts {
    display: flex;
    flex-wrap: wrap;
    gap: 10px;
    align-items: center;
    margin-top: 10px;
  }

  button,
  .button {
    display: inline-flex;
    align-items: center;
    justify-content: center;
    min-width: var(--touch);
    min-height: var(--touch);
    padding: 8px 16px;
    border: 1.5px solid var(--edge);
    border-radius: var(--round);
    background: transparent;
    color: var(--ink);
    font: 600 16px/1.2 var(--letter);
    text-decoration: none;
    cursor: pointer;
    touch-action: manipulation;
    -webkit-tap-highlight-color: transparent;
  }

  button:active {
    background: var(--bright);
  }

  button[disabled] {
    border-style: dotted;
    color: var(--soft);
    cursor: default;
  }

  .blue {
    border-color: var(--blue-ink);
    background: var(--blue);
    color: var(--on-blue);
  }

  button.blue[disabled] {
    background: transparent;
    color: var(--soft);
  }

  a {
    color: inherit;
    text-underline-offset: 3px;
  }

  :focus-visible {
    outline: 3px solid var(--ink);
    outline-offset: 2px;
  }

  input,
  select {
    min-height: var(--touch);
    padding: 8px 12px;
    border: 1.5px solid var(--edge);
    border-radius: var(--round);
    background: var(--field);
    color: var(--ink);
    font: 16px/1.2 var(--letter);
  }

  ::file-selector-button {
    min-height: 30px;
    padding: 2px 12px;
    margin-right: 12px;
    border: 1.5px solid var(--edge);
    border-radius: var(--round);
    background: var(--plate);
    color: var(--ink);
    font: inherit;
    font-weight: 600;
  }

  input[type='checkbox'],
  input[type='radio'] {
    width: 24px;
    min-height: 24px;
    margin: 0 10px 0 0;
    accent-color: var(--edge);
  }

  label {
    display: inline-flex;
    align-items: center;
    min-height: var(--touch);
  }

  summary {
    display: flex;
    gap: 8px;
    align-items: center;
    min-height: var(--touch);
    font-weight: 600;
    cursor: pointer;
    list-style: none;
  }

  summary::-webkit-details-marker {
    display: none;
  }

  summary::after {
    width: 8px;
    height: 8px;
    margin: -4px 4px 0;
    border: solid currentColor;
    border-width: 0 2px 2px 0;
    content: '';
    transform: rotate(45deg);
  }

  details[open] > summary::after {
    margin-top: 4px;
    transform: rotate(225deg);
  }

  .unseen {
    position: absolute;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }
`;
