import { css, html, LitElement, nothing } from 'lit';
import type { Answers, CircuitAnswer, PropAnswer } from '../first-answers.ts';
import { idsTwice, plannedProp, SHAPES, type Shape } from '../first-planned.ts';
import { firstWords } from '../first-words.ts';
import type { FirstState } from '../set-up.ts';
import { isZone } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { isKeeper, tell } from './ask.ts';
import { lookAgain, sound } from './field-errors.ts';
import './first-outlets.ts';
import './first-prop.ts';
import type { FirstProp } from './first-prop.ts';
import { formLook } from './form-look.ts';
import { keeperOnly } from './keeper-only.ts';
import { look } from './look.ts';
import { numberIn } from './number-field.ts';

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
    `,
  ];
  declare first: FirstState | null;
  declare view: View;
  declare live: boolean;
  #timer: ReturnType<typeof setInterval> | undefined;
  /** Whether fields were said to be wrong. */
  #said = false;

  override connectedCallback() {
    super.connectedCallback();
    this.#timer = setInterval(() => this.#listen(), LOOK_EVERY_MS);
    this.#listen();
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    clearInterval(this.#timer);
  }

  /** What is wrong in one field may be mended in another: two props with one id, a limit below what is usual. */
  override updated() {
    if (this.#said) requestAnimationFrame(() => lookAgain(this.renderRoot));
  }

  #listen(): void {
    if (this.view && isKeeper(this.view.me)) tell(this, 'want-strangers');
  }

  override render() {
    return html`<h1>${firstWords().heading}</h1>
      <p>${firstWords().text}</p>
      ${isKeeper(this.view.me) ? this.#form() : keeperOnly(firstWords().keeperOnly)}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #form() {
    if (!this.first) return html`<p class="soft">${words.file.reading}</p>`;
    const { answers, boards } = this.first;
    // no board can be heard, so no file made: said before anybody fills in the rest
    const inVain = this.view.picture.yard.demonstration && boards?.length === 0;
    return html`<form @submit=${this.#send} novalidate>
      ${inVain ? html`<p><strong>${firstWords().nobodyInDemo}</strong></p>` : nothing}
      ${this.#place(answers)} ${this.#nights(answers)} ${this.#outlets(answers)} ${this.#props(answers)}
      <h2>${firstWords().file}</h2>
      <p>${firstWords().fileText}</p>
      <p class="acts"><button class="blue" ?disabled=${!this.live}>${firstWords().make}</button></p>
      <p role="status" id="wrong"></p>
    </form>`;
  }

  #place(answers: Answers) {
    const first = firstWords();
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
            data-wrong=${isZone(answers.timezone.trim()) ? '' : first.noZone(answers.timezone.trim())}
            .value=${answers.timezone}
            @input=${this.#text('timezone')}
        /></label>
        <datalist id="zones">${ZONES.map((zone) => html`<option value=${zone}></option>`)}</datalist>
        ${this.#degrees('latitude', 90)} ${this.#degrees('longitude', 180)}
      </div>
      <p class="soft">${first.degrees}</p>
    </fieldset>`;
  }

  #degrees(key: 'latitude' | 'longitude', most: number) {
    return html`<label
      >${firstWords()[key]}<input
        type="number"
        required
        step="any"
        min=${-most}
        max=${most}
        inputmode="text"
        .value=${String(this.first!.answers[key] ?? '')}
        @input=${(event: Event) =>
          numberIn(event, (value) => this.#set({ [key]: Number.isNaN(value) ? null : value }))}
    /></label>`;
  }

  #nights(answers: Answers) {
    const first = firstWords();
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
    const first = firstWords();
    return html`<fieldset>
      <legend>${first.outlets}</legend>
      <p class="soft">${first.outletsText}</p>
      <first-outlets
        .circuits=${circuits}
        @outlets-answer=${(event: CustomEvent<readonly CircuitAnswer[]>) => this.#set({ circuits: event.detail })}
      ></first-outlets>
    </fieldset>`;
  }

  #props(answers: Answers) {
    const { props, circuits } = answers;
    const { boards, taught } = this.first!;
    const known = new Map(
      (boards ?? []).flatMap((board) => board.props.map((prop) => [prop.id, { board, prop }] as const)),
    );
    const twice = idsTwice(answers);
    return html`<h2>${firstWords().props}</h2>
      <p>${firstWords().propsText}</p>
      <p class="soft" role="status">${this.#heard()}</p>
      ${props.map(
        (prop, n) => html`<first-prop
          .prop=${prop}
          .heard=${known.get(prop.id) ?? null}
          .taught=${taught.get(prop.id) ?? null}
          .circuits=${circuits.map(({ title }, i) => title.trim() || firstWords().outlet(i + 1))}
          .others=${props.flatMap(({ id }, i) => (i === n ? [] : [id]))}
          .twice=${prop.wanted && twice.has(prop.id)}
          @prop-answer=${(event: CustomEvent<PropAnswer>) => this.#prop(n, event.detail)}
          @prop-gone=${() => this.#remove(n)}
        ></first-prop>`,
      )}
      ${this.#byHand()}`;
  }

  #byHand() {
    const first = firstWords();
    return html`<fieldset id="by-hand">
      <legend>${first.byHand}</legend>
      <p class="soft">${first.byHandText}</p>
      <p class="acts">
        ${SHAPES.map(
          (shape) =>
            html`<button type="button" @click=${() => this.#add(shape)}>${first.add[shape]}</button>`,
        )}
      </p>
    </fieldset>`;
  }

  #heard(): string {
    const { boards } = this.first!;
    if (!boards) return words.file.reading;
    if (boards.length === 0) return firstWords().nobody;
    return firstWords().heard(boards.filter(({ up }) => up).length);
  }

  #text(key: 'title' | 'timezone' | 'open' | 'close') {
    return (event: Event) => this.#set({ [key]: (event.target as HTMLInputElement).value });
  }

  #prop(n: number, answer: PropAnswer): void {
    const { props } = this.first!.answers;
    this.#set({ props: props.map((prop, i) => (i === n ? { ...answer, touched: true } : prop)) });
  }

  /** A card of its own, which the next thing typed goes into. */
  async #add(shape: Shape): Promise<void> {
    const { props } = this.first!.answers;
    this.#set({ props: [...props, plannedProp(shape)] });
    await drawn();
    const card = this.renderRoot.querySelectorAll<FirstProp>('first-prop')[props.length];
    const title = card?.renderRoot.querySelector<HTMLInputElement>('.fields input');
    title?.focus({ preventScroll: true });
    card?.scrollIntoView({ block: 'start' });
  }

  async #remove(n: number): Promise<void> {
    this.#set({ props: this.first!.answers.props.filter((_, i) => i !== n) });
    await drawn();
    this.renderRoot.querySelector<HTMLElement>('#by-hand button')?.focus();
  }

  #set(change: Partial<Answers>): void {
    tell(this, 'first-file', { ...this.first!.answers, ...change });
  }

  /** What is wrong is said at its field, and nothing leaves this page. */
  #send(event: SubmitEvent): void {
    event.preventDefault();
    const well = sound(this.renderRoot);
    this.#said = !well;
    const props = this.first!.answers.props.filter(({ wanted }) => wanted);
    const moving = props.some(({ kind, moves }) => kind === 'prop' && moves.length > 0);
    const said = this.renderRoot.querySelector('#wrong')!;
    said.textContent = !well ? firstWords().wrong : moving ? '' : firstWords().noProps;
    if (well && moving) tell(this, 'first-file-done');
  }
}
customElements.define('first-file-screen', FirstFileScreen);

/** Once what was told to the page has come back and is drawn, all the way down. */
const drawn = () => new Promise((done) => requestAnimationFrame(done));
