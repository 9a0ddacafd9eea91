import { css, html, LitElement } from 'lit';
import { words } from '../words.ts';
import { ask } from './ask.ts';
import { look } from './look.ts';

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];
const LONGEST = 12;

/**
 * A PIN on keys of our own, large enough for cold fingers: the phone's keyboard would push the stop bar out of sight,
 * so it is kept down (`inputmode` none); a real keyboard types into the field as usual.
 */
export class SignInScreen extends LitElement {
  static override properties = { pin: { state: true }, disabled: { attribute: false } };
  static override styles = [
    look,
    css`
      form {
        max-width: 23rem;
        margin: 0 auto;
      }

      .text {
        margin: 8px 0 12px;
      }

      label {
        display: block;
        min-height: 0;
        font-weight: 600;
      }

      input {
        width: 100%;
        margin-bottom: 10px;
        font-size: 26px;
        letter-spacing: 0.3em;
        text-align: center;
      }

      .keys {
        display: grid;
        grid-template-columns: repeat(3, 1fr);
        gap: 8px;
      }

      .keys button {
        min-height: 54px;
        font-size: 22px;
      }

      .keys .word {
        padding: 4px;
        font-size: 16px;
      }
    `,
  ];
  declare pin: string;
  declare disabled: boolean;

  constructor() {
    super();
    this.pin = '';
    this.disabled = false;
  }

  override render() {
    return html`<form @submit=${this.#submit}>
      <h1>${words.signIn.heading}</h1>
      <p class="text">${words.signIn.text}</p>
      <label for="pin">${words.signIn.pin}</label>
      <input
        id="pin"
        type="password"
        inputmode="none"
        autocomplete="off"
        maxlength=${LONGEST}
        .value=${this.pin}
        @input=${(event: Event) => {
          this.pin = (event.target as HTMLInputElement).value.replace(/\D/g, '');
        }}
      />
      <div class="keys">
        ${DIGITS.map((digit) => this.#key(digit))}
        <button
          type="button"
          class="word"
          @click=${() => {
            this.pin = this.pin.slice(0, -1);
          }}
        >
          ${words.signIn.erase}
        </button>
        ${this.#key('0')}
        <button class="word" ?disabled=${this.disabled || this.pin.length < 4}>${words.signIn.act}</button>
      </div>
    </form>`;
  }

  #key(digit: string) {
    return html`<button
      type="button"
      @click=${() => {
        this.pin = (this.pin + digit).slice(0, LONGEST);
      }}
    >
      ${digit}
    </button>`;
  }

  #submit(event: Event): void {
    event.preventDefault();
    if (this.pin.length < 4 || this.disabled) return;
    ask(this, { do: 'sign-in', pin: this.pin });
    this.pin = '';
  }
}
customElements.define('sign-in-screen', SignInScreen);
