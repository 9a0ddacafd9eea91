import { css, html, LitElement } from 'lit';
import type { RedButtonSaid } from '../../server/red-button.ts';
import type { Me } from '../store.ts';
import { words } from '../words.ts';
import { ask, isKeeper } from './ask.ts';
import { sound } from './field-errors.ts';
import { keeperOnly } from './keeper-only.ts';
import { look } from './look.ts';

const PARTS = ['where', 'cuts', 'testedBy'] as const;

/** The hard-wired red button: where it is, what it cuts, who tested it and when. A keeper writes it down; everyone reads it. */
export class RedButtonScreen extends LitElement {
  static override properties = {
    said: { attribute: false },
    me: { attribute: false },
    live: { attribute: false },
    today: { attribute: false },
  };
  static override styles = [
    look,
    css`
      form {
        display: grid;
        gap: 10px;
        max-width: 34rem;
        margin-top: 12px;
      }

      label {
        flex-direction: column;
        gap: 2px;
        align-items: stretch;
        font-weight: 600;
      }
    `,
  ];
  declare said: RedButtonSaid | null;
  declare me: Me | null;
  declare live: boolean;
  /** The yard's date, `YYYY-MM-DD`. */
  declare today: string;

  override render() {
    return html`<h1>${words.setup.red}</h1>
      <p>${words.setup.redText}</p>
      ${isKeeper(this.me) ? this.#form() : keeperOnly(words.redButton.keeperOnly)}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #form() {
    return html`<form @submit=${this.#send} novalidate>
      ${PARTS.map(
        (part) =>
          html`<label
            >${words.redButton.asked[part]}<input
              name=${part}
              maxlength=${part === 'testedBy' ? 80 : 200}
              autocomplete="off"
              required
              .value=${this.said?.[part] ?? ''}
          /></label>`,
      )}
      <label>${words.redButton.asked.testedOn}<input name="testedOn" type="date" required .value=${this.today} /></label>
      <button ?disabled=${!this.live}>${words.redButton.write}</button>
    </form>`;
  }

  #send(event: SubmitEvent): void {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    if (!sound(form)) return;
    const fields = new FormData(form);
    const of = (name: string) => String(fields.get(name) ?? '').trim();
    ask(this, {
      do: 'red-button',
      where: of('where'),
      cuts: of('cuts'),
      testedBy: of('testedBy'),
      testedOn: of('testedOn'),
    });
  }
}
customElements.define('red-button-screen', RedButtonScreen);
