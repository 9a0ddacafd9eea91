import { css } from 'lit';

/** Forms of more than one field: labels above their fields, fields side by side where there is room. */
export const formLook = css`
  .fields {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(min(100%, 10rem), 1fr));
    gap: 10px 14px;
    align-items: end;
    margin-top: 8px;
  }

  .fields > label {
    flex-direction: column;
    gap: 2px;
    align-items: stretch;
    font-weight: 600;
  }

  /* With words below one of them: fields beside each other stay in line. */
  .fields:has(.wrong) > label {
    align-self: start;
  }

  .fields + p {
    margin-top: 8px;
  }

  .fields > .wide {
    grid-column: 1 / -1;
  }

  .fields input,
  .fields select,
  .marks select {
    width: 100%;
    min-width: 0;
  }
`;
