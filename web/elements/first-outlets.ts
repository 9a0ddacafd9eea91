import { css, html, LitElement, nothing } from 'lit';
import type { CircuitAnswer } from '../first-answers.ts';
import { firstWords } from '../first-words.ts';
import { tell } from './ask.ts';
import { formLook } from './form-look.ts';
import { look } from './look.ts';
import { chosenIn, numberIn, shownNumber } from './number-field.ts';

/** The outlets of a first file: one for each breaker. */
export class FirstOutlets extends LitElement {
  static override properties = { circuits: { attribute: false } };
  static override styles = [
    look,
    formLook,
    css`
      .outlet + .outlet {
        margin-top: 10px;
        padding-top: 10px;
        border-top: 1.5px solid var(--line);
      }
    `,
  ];
  declare circuits: readonly CircuitAnswer[];

  override render() {
    const first = firstWords();
    const { circuits } = this;
    return html`${circuits.map(
      (circuit, n) => html`<div class="fields outlet">
        <label class="wide"
          >${first.outlet(n + 1)}<input
            required
            maxlength="60"
            autocomplete="off"
            placeholder=${first.outletExample}
            .value=${circuit.title}
            @input=${(event: Event) => this.#change(n, { title: chosenIn(event) })}
        /></label>
        ${this.#amount(n, 'volts', 1)} ${this.#amount(n, 'breaker', 1)} ${this.#amount(n, 'standing', 0)}
      </div>`,
    )}
      <p class="acts">
        <button type="button" @click=${() => this.#set([...circuits, { ...circuits[0]!, title: '', standing: 0 }])}>
          ${first.moreOutlets}
        </button>
        ${
          circuits.length > 1
            ? html`<button type="button" @click=${() => this.#set(circuits.slice(0, -1))}>
                ${first.fewerOutlets}
              </button>`
            : nothing
        }
      </p>`;
  }

  #amount(n: number, key: 'volts' | 'breaker' | 'standing', least: number) {
    return html`<label
      >${firstWords()[key]}<input
        type="number"
        required
        step="any"
        min=${least}
        max="1000"
        .value=${shownNumber(this.circuits[n]![key])}
        @input=${(event: Event) => numberIn(event, (value) => this.#change(n, { [key]: value }))}
    /></label>`;
  }

  #change(n: number, change: Partial<CircuitAnswer>): void {
    this.#set(this.circuits.map((circuit, i) => (i === n ? { ...circuit, ...change } : circuit)));
  }

  #set(circuits: readonly CircuitAnswer[]): void {
    tell(this, 'outlets-answer', circuits);
  }
}
customElements.define('first-outlets', FirstOutlets);
