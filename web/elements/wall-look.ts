import { css } from 'lit';

/** How the wall looks: letters in ems, since either side chooses its own size, and none below what a phone shows. */
export const wallLook = css`
  :host {
    --mark: 1.5em;
    --ends: 4.2em;
    --row: 1.9em;

    font-size: 18px;
    line-height: 1.3;
  }

  .mode {
    margin-bottom: 0.4em;
    font-size: 1.5em;
    font-weight: 700;
    line-height: 1.2;
  }

  h2 {
    margin: 0.9em 0 0.3em;
    font-size: max(15px, 0.8em);
  }

  ul {
    padding: 0;
    list-style: none;
  }

  .trouble {
    padding: 0.5em 0.7em 0.5em 0.9em;
    margin-bottom: 0.3em;
    background: var(--plate);
    box-shadow: inset 0.4em 0 0 var(--amber), inset calc(0.4em + 1px) 0 0 var(--ink);
  }

  .trouble b {
    display: flex;
    gap: 0.5em;
    align-items: center;
    font-size: 1.3em;
    line-height: 1.2;
  }

  .stopped {
    padding: 0.5em 0.7em;
    margin-bottom: 0.5em;
    border: 4px solid var(--red-ink);
    color: var(--red-ink);
    font-size: 1.5em;
    font-weight: 700;
  }

  .stopped b {
    display: flex;
    gap: 0.4em;
    align-items: center;
  }

  .stopped p {
    color: var(--ink);
    font-size: 0.62em;
    font-weight: 400;
  }

  .zone {
    display: flex;
    gap: 0.6em;
    align-items: baseline;
    margin: 0.7em 0 0.25em;
    font-size: max(15px, 0.85em);
    font-weight: 600;
  }

  section:first-child .zone {
    margin-top: 0;
  }

  .tiles {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(13em, 1fr));
    gap: 0 1.2em;
  }

  .tiles section .zone {
    margin-top: 0.4em;
  }

  .zone span {
    color: var(--soft);
    font-weight: 400;
  }

  .zone + ul {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(14em, 1fr));
    gap: 3px;
  }

  .prop {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr) auto;
    gap: 0 0.5em;
    align-items: center;
    padding: 0.25em 0.5em;
    background: var(--plate);
  }

  .prop span {
    overflow-wrap: anywhere;
    line-height: 1.15;
  }

  .prop small {
    display: block;
    color: var(--soft);
    font-size: max(15px, 0.75em);
  }

  .prop.moves {
    background: var(--bright);
  }

  .prop.bad {
    box-shadow: inset 0.25em 0 0 var(--amber), inset calc(0.25em + 1px) 0 0 var(--ink);
    padding-left: 0.75em;
  }

  .bad small {
    color: var(--ink);
    font-weight: 600;
  }

  .leave {
    margin-top: 1em;
    color: var(--soft);
    font-size: 15px;
  }

  /* Esc where there may be keys, and the browser's own way back where fingers are all there is. */
  .fingers {
    display: none;
  }

  @media (pointer: coarse) {
    .keys {
      display: none;
    }

    .fingers {
      display: inline;
    }
  }

  @media (min-width: 900px) {
    .sides {
      display: grid;
      grid-template-columns: minmax(0, 5fr) minmax(0, 6fr);
      gap: 2em;
      align-items: start;
    }
  }
`;
