import { css, html, LitElement, nothing } from 'lit';
import { type MoveAnswer, type PropAnswer, timed } from '../first-answers.ts';
import { proposedLimit } from '../first-file.ts';
import { firstWords } from '../first-words.ts';
import { tell } from './ask.ts';
import { formLook } from './form-look.ts';
import { look } from './look.ts';
import { chosenIn, numberIn, shownNumber } from './number-field.ts';

/** The moves of a prop of a first file: how each ends, how long it takes, and what it draws. */
export class FirstMoves extends LitElement {
  static override properties = {
    prop: { attribute: false },
    circuits: { attribute: false },
  };
  static override styles = [
    look,
    formLook,
    css`
      .time {
        margin-top: 10px;
      }

      .move {
        margin-top: 10px;
        padding-top: 10px;
        border-top: 1.5px solid var(--line);
      }

      .soft + .move {
        border-top: 0;
      }
    `,
  ];
  declare prop: PropAnswer;
  declare circuits: readonly string[];

  override render() {
    const { moves, planned } = this.prop;
    const first = firstWords();
    return html`${
      moves.length > 0
        ? html`<p class="soft time">${planned ? first.guessIt : ''} ${first.timeIt}</p>`
        : nothing
    }
      ${moves.map((move, n) => this.#move(move, n))}
      <p class="acts">
        <button type="button" @click=${this.#more}>${first.moreMoves}</button>
        ${
          moves.length > 0
            ? html`<button type="button" @click=${() => this.#set(moves.slice(0, -1))}>
                ${first.fewerMoves}
              </button>`
            : nothing
        }
      </p>`;
  }

  #move(move: MoveAnswer, n: number) {
    const first = firstWords();
    const { moves, sensors } = this.prop;
    const set = (change: Partial<MoveAnswer>) =>
      this.#set(moves.map((m, i) => (i === n ? { ...m, ...change } : m)));
    const byClock = move.until === null;
    const limit = move.limit ?? proposedLimit(move.seconds);
    const twice = moves.some(({ name }, i) => i < n && name === move.name);
    return html`<div class="fields move">
      <label
        >${first.moveName}<input
          required
          maxlength="40"
          pattern="[a-z0-9\\-]+"
          title=${first.idRule}
          data-wrong=${twice ? first.moveTwice(move.name) : ''}
          autocapitalize="off"
          autocomplete="off"
          .value=${move.name}
          @input=${(e: Event) => set({ name: chosenIn(e) })}
      /></label>
      <label
        >${first.until}<select @change=${(e: Event) => set({ until: chosenIn(e) || null })}>
          <option value="" .selected=${byClock}>${first.byClock}</option>
          ${sensors.map(({ id }) => html`<option value=${id} .selected=${move.until === id}>${id}</option>`)}
        </select></label
      >
      ${number(byClock ? first.lasts : first.usual, move.seconds, 0.1, (seconds) => this.#set(timed(moves, n, seconds)))}
      ${number(
        first.limit,
        limit,
        0.1,
        (given) => set({ limit: given }),
        limit <= move.seconds ? first.limitAbove(move.seconds) : '',
      )}
      <label
        >${first.circuit}<select
          @change=${(e: Event) => set({ circuit: chosenIn(e) === '' ? null : Number(chosenIn(e)) })}
        >
          <option value="" .selected=${move.circuit === null}>${first.noCircuit}</option>
          ${this.circuits.map((title, i) => html`<option value=${i} .selected=${move.circuit === i}>${title}</option>`)}
        </select></label
      >
      ${move.circuit === null ? nothing : number(first.amps, move.amps, 0, (amps) => set({ amps }))}
    </div>`;
  }

  #more(): void {
    const { moves } = this.prop;
    const name = `move-${moves.length + 1}`;
    const move: MoveAnswer = { name, until: null, seconds: 10, limit: null, circuit: 0, amps: 1 };
    this.#set([...moves, move]);
  }

  #set(moves: readonly MoveAnswer[]): void {
    tell(this, 'moves-answer', moves);
  }
}
customElements.define('first-moves', FirstMoves);

function number(label: string, value: number, least: number, take: (value: number) => void, wrong = '') {
  return html`<label
    >${label}<input
      type="number"
      required
      min=${least}
      max="3600"
      step="any"
      data-wrong=${wrong}
      .value=${shownNumber(value)}
      @input=${(e: Event) => numberIn(e, take)}
  /></label>`;
}
