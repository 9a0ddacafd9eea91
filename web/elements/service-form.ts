import { css, html, LitElement } from 'lit';
import { words } from '../words.ts';
import { ask } from './ask.ts';
import { look } from './look.ts';

/** Takes a prop out of service, with a reason that others will read. */
export class ServiceForm extends LitElement {
  static override properties = {
    propId: { attribute: false },
    disabled: { attribute: false },
    why: { state: true },
  };
  static override styles = [
    look,
    css`
      fieldset {
        display: flex;
        flex-wrap: wrap;
        gap: 0 20px;
        margin: 8px 0;
        padding: 0;
        border: 0;
      }

      legend {
        padding: 0;
        font-weight: 600;
      }

      .own {
        flex: 1 1 100%;
      }

      .own input {
        flex: 1;
        max-width: 24rem;
        margin-left: 10px;
      }
    `,
  ];
  declare propId: string;
  declare disabled: boolean;
  declare why: string;

  constructor() {
    super();
    this.why = words.service.reasons[0]!;
    this.disabled = false;
  }

  override render() {
    return html`<form @submit=${this.#submit}>
      <h2>${words.service.heading}</h2>
      <p>${words.service.text}</p>
      <fieldset>
        <legend>${words.service.why}</legend>
        ${words.service.reasons.map(
          (reason) =>
            html`<label
              ><input
                type="radio"
                name="why"
                .checked=${this.why === reason}
                @change=${() => (this.why = reason)}
              />${reason}</label
            >`,
        )}
        <label class="own"
          >${words.service.own}<input
            type="text"
            maxlength="120"
            autocomplete="off"
            @input=${(event: Event) => {
              this.why = (event.target as HTMLInputElement).value.trim();
            }}
        /></label>
      </fieldset>
      <button ?disabled=${this.disabled || this.why === ''}>${words.service.act}</button>
    </form>`;
  }

  #submit(event: Event): void {
    event.preventDefault();
    ask(this, { do: 'lock-out', prop: this.propId, why: this.why });
  }
}
customElements.define('service-form', ServiceForm);
