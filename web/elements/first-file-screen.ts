import { css, html, LitElement, nothing } from 'lit';
import type { Answers, CircuitAnswer, PropAnswer } from '../first-answers.ts';
import type { FirstState } from '../set-up.ts';
import { isZone } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { isKeeper, tell } from './ask.ts';
import './first-prop.ts';
import type { FirstProp } from './first-prop.ts';
import { formLook } from './form-look.ts';
import { keeperOnly } from './keeper-only.ts';
import { look } from './look.ts';

const LOOK_EVERY_MS = 500;
const ZONES = Intl.supportedValuesOf('timeZone');

/** A first yard file, step by step: place, nights, outlets, the boards that are heard. It ends in the editor, not saved. */
export class FirstFileScreen extends LitElement {
  static override properties = {
    first: { attribute: false },
    view: { attribute: false },
    live: { attribute: false },
  };
  static override styles = [
    look,
    formLook,
    css`
      form {
        max-width: 46rem;
      }

      fieldset {
        margin: 22px 0 0;
        padding: 0;
        border: 0;
      }

      legend {
        padding: 0;
        margin: 0;
        color: var(--soft);
        font-size: 15px;
        font-weight: 600;
      }

      .radios {
        display: flex;
        flex-wrap: wrap;
        gap: 0 24px;
      }

      first-prop {
        margin-top: 10px;
      }

      .outlet + .outlet {
        margin-top: 10px;
        padding-top: 10px;
        border-top: 1.5px solid var(--line);
      }
    `,
  ];
  declare first: FirstState | null;
  declare view: View;
  declare live: boolean;
  #timer: ReturnType<typeof setInterval> | undefined;

  override connectedCallback() {
    super.connectedCallback();
    this.#timer = setInterval(() => this.#listen(), LOOK_EVERY_MS);
    this.#listen();
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    clearInterval(this.#timer);
  }

  #listen(): void {
    if (this.view && isKeeper(this.view.me)) tell(this, 'want-strangers');
  }

  override render() {
    return html`<h1>${words.first.heading}</h1>
      <p>${words.first.text}</p>
      ${isKeeper(this.view.me) ? this.#form() : keeperOnly(words.first.keeperOnly)}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #form() {
    if (!this.first) return html`<p class="soft">${words.file.reading}</p>`;
    const { answers, boards } = this.first;
    // no board can be heard, so no file made: said before anybody fills in the rest
    const inVain = this.view.picture.yard.demonstration && boards?.length === 0;
    return html`<form @submit=${this.#send} novalidate>
      ${inVain ? html`<p><strong>${words.first.nobodyInDemo}</strong></p>` : nothing}
      ${this.#place(answers)} ${this.#nights(answers)} ${this.#outlets(answers)} ${this.#props(answers)}
      <h2>${words.first.file}</h2>
      <p>${words.first.fileText}</p>
      <p class="acts"><button class="blue" ?disabled=${!this.live}>${words.first.make}</button></p>
      <p role="status" id="wrong"></p>
    </form>`;
  }

  #place(answers: Answers) {
    const { first } = words;
    return html`<fieldset>
      <legend>${first.place}</legend>
      <div class="fields">
        <label class="wide"
          >${first.title}<input
            required
            maxlength="80"
            autocomplete="off"
            .value=${answers.title}
            @input=${this.#text('title')}
        /></label>
        <label class="wide"
          >${first.timezone}<input
            required
            list="zones"
            autocomplete="off"
            .value=${answers.timezone}
            @input=${this.#zone}
        /></label>
        <datalist id="zones">${ZONES.map((zone) => html`<option value=${zone}></option>`)}</datalist>
        ${this.#degrees('latitude', 90)} ${this.#degrees('longitude', 180)}
      </div>
      <p class="soft">${first.degrees}</p>
    </fieldset>`;
  }

  #degrees(key: 'latitude' | 'longitude', most: number) {
    return html`<label
      >${words.first[key]}<input
        type="number"
        required
        step="any"
        min=${-most}
        max=${most}
        inputmode="text"
        .value=${String(this.first!.answers[key] ?? '')}
        @input=${(event: Event) => {
          const { value } = event.target as HTMLInputElement;
          this.#set({ [key]: value === '' ? null : Number(value) });
        }}
    /></label>`;
  }

  #nights(answers: Answers) {
    const { first } = words;
    const time = (key: 'open' | 'close') =>
      html`<label
        >${first[key]}<input type="time" required .value=${answers[key]} @input=${this.#text(key)}
      /></label>`;
    return html`<fieldset>
      <legend>${first.nights}</legend>
      <p class="soft">${first.nightsText}</p>
      <div class="fields">${time('open')} ${time('close')}</div>
      <div class="radios">
        ${(['by hand', 'by itself'] as const).map(
          (opens) =>
            html`<label
              ><input
                type="radio"
                name="opens"
                .checked=${answers.opens === opens}
                @change=${() => this.#set({ opens })}
              />${first.opens[opens]}</label
            >`,
        )}
      </div>
    </fieldset>`;
  }

  #outlets({ circuits }: Answers) {
    const { first } = words;
    return html`<fieldset>
      <legend>${first.outlets}</legend>
      <p class="soft">${first.outletsText}</p>
      ${circuits.map(
        (circuit, n) => html`<div class="fields outlet">
          <label class="wide"
            >${first.outlet(n + 1)}<input
              required
              maxlength="60"
              autocomplete="off"
              placeholder=${first.outletExample}
              .value=${circuit.title}
              @input=${(event: Event) => this.#circuit(n, { title: (event.target as HTMLInputElement).value })}
          /></label>
          ${this.#amount(n, 'volts', 1)} ${this.#amount(n, 'breaker', 1)} ${this.#amount(n, 'standing', 0)}
        </div>`,
      )}
      <p class="acts">
        <button
          type="button"
          @click=${() => this.#set({ circuits: [...circuits, { ...circuits[0]!, title: '', standing: 0 }] })}
        >
          ${first.moreOutlets}
        </button>
        ${
          circuits.length > 1
            ? html`<button type="button" @click=${() => this.#set({ circuits: circuits.slice(0, -1) })}>
                ${first.fewerOutlets}
              </button>`
            : nothing
        }
      </p>
    </fieldset>`;
  }

  #amount(n: number, key: 'volts' | 'breaker' | 'standing', least: number) {
    return html`<label
      >${words.first[key]}<input
        type="number"
        required
        step="any"
        min=${least}
        max="1000"
        .value=${String(this.first!.answers.circuits[n]![key])}
        @input=${(event: Event) => this.#circuit(n, { [key]: Number((event.target as HTMLInputElement).value) })}
    /></label>`;
  }

  #props({ props, circuits }: Answers) {
    const { boards, taught } = this.first!;
    const known = new Map(
      (boards ?? []).flatMap((board) => board.props.map((prop) => [prop.id, { board, prop }] as const)),
    );
    return html`<h2>${words.first.props}</h2>
      <p>${words.first.propsText}</p>
      <p class="soft" role="status">${this.#heard()}</p>
      ${props.map(
        (prop, n) => html`<first-prop
          .prop=${prop}
          .heard=${known.get(prop.id) ?? null}
          .taught=${taught.get(prop.id) ?? null}
          .circuits=${circuits.map(({ title }, i) => title.trim() || words.first.outlet(i + 1))}
          @prop-answer=${(event: CustomEvent<PropAnswer>) => this.#prop(n, event.detail)}
        ></first-prop>`,
      )}`;
  }

  #heard(): string {
    const { boards } = this.first!;
    if (!boards) return words.file.reading;
    if (boards.length === 0) return words.first.nobody;
    return words.first.heard(boards.filter(({ up }) => up).length);
  }

  #text(key: 'title' | 'open' | 'close') {
    return (event: Event) => this.#set({ [key]: (event.target as HTMLInputElement).value });
  }

  #zone(event: Event): void {
    const input = event.target as HTMLInputElement;
    const timezone = input.value.trim();
    input.setCustomValidity(timezone === '' || isZone(timezone) ? '' : words.first.noZone(timezone));
    this.#set({ timezone });
  }

  #circuit(n: number, change: Partial<CircuitAnswer>): void {
    const { circuits } = this.first!.answers;
    this.#set({ circuits: circuits.map((circuit, i) => (i === n ? { ...circuit, ...change } : circuit)) });
  }

  #prop(n: number, answer: PropAnswer): void {
    const { props } = this.first!.answers;
    this.#set({ props: props.map((prop, i) => (i === n ? { ...answer, touched: true } : prop)) });
  }

  #set(change: Partial<Answers>): void {
    tell(this, 'first-file', { ...this.first!.answers, ...change });
  }

  /** The first field that is wrong is brought into sight, with the browser's own word; nothing leaves this page. */
  #send(event: SubmitEvent): void {
    event.preventDefault();
    const inputs = [
      this.renderRoot,
      ...[...this.renderRoot.querySelectorAll<FirstProp>('first-prop')].map((p) => p.renderRoot),
    ].flatMap((root) => [...root.querySelectorAll('input')]);
    const wrong = inputs.find((input) => !input.checkValidity());
    const props = this.first!.answers.props.filter(({ wanted }) => wanted);
    const moving = props.some(({ kind, moves }) => kind === 'prop' && moves.length > 0);
    const said = this.renderRoot.querySelector('#wrong')!;
    said.textContent = wrong ? words.first.wrong : moving ? '' : words.first.noProps;
    if (wrong) {
      wrong.scrollIntoView({ block: 'center' });
      wrong.reportValidity();
    } else if (moving) tell(this, 'first-file-done');
  }
}
customElements.define('first-file-screen', FirstFileScreen);
