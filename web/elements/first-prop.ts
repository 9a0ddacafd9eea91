import { css, html, LitElement, nothing } from 'lit';
import type { StrangerBoard } from '../../server/bus/strangers.ts';
import { type MoveAnswer, type PropAnswer, timed } from '../first-answers.ts';
import { endsOf, type Taught } from '../first-boards.ts';
import { proposedLimit } from '../first-file.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { formLook } from './form-look.ts';
import { look } from './look.ts';

/** A prop of a first file: its sensors live while it is moved by hand, and what is proposed of it. */
export class FirstProp extends LitElement {
  static override properties = {
    prop: { attribute: false },
    heard: { attribute: false },
    taught: { attribute: false },
    circuits: { attribute: false },
  };
  static override styles = [
    look,
    formLook,
    css`
      .marks {
        padding: 0;
        margin-top: 8px;
        list-style: none;
      }

      .marks li {
        display: grid;
        grid-template-columns: minmax(7rem, 1fr) minmax(9rem, 2fr);
        max-width: 30rem;
        gap: 4px 12px;
        align-items: center;
        margin-top: 4px;
      }

      .time {
        margin-top: 10px;
      }

      .mark {
        display: flex;
        gap: 10px;
        align-items: center;
      }

      .dot {
        flex: none;
        width: 18px;
        height: 18px;
        border: 2px solid var(--edge);
        border-radius: 50%;
      }

      .made .dot {
        border-color: var(--ink);
        background: var(--ink);
      }

      p[role='status'] {
        margin-top: 8px;
        font-weight: 600;
      }

      .soft + .move {
        border-top: 0;
      }

      .move {
        margin-top: 10px;
        padding-top: 10px;
        border-top: 1.5px solid var(--line);
      }
    `,
  ];
  declare prop: PropAnswer;
  /** Its board and what it says now; null where it is not heard any more. */
  declare heard: { board: StrangerBoard; prop: StrangerBoard['props'][number] } | null;
  declare taught: Taught | null;
  declare circuits: readonly string[];

  override render() {
    const { prop, heard } = this;
    const { first } = words;
    return html`<section class="card" aria-label=${prop.id}>
      <h3>${prop.id}</h3>
      <p class="soft">${heard?.board.up ? first.onBoard(prop.board) : first.notHeard(prop.board)}</p>
      <label><input type="checkbox" .checked=${prop.wanted} @change=${this.#tick} />${first.wanted}</label>
      ${prop.wanted ? this.#wanted() : nothing}
    </section>`;
  }

  #wanted() {
    const { prop } = this;
    const { first } = words;
    return html`<div class="fields">
        <label class=${prop.sensors.length === 1 ? '' : 'wide'}
          >${first.propTitle}<input
            required
            maxlength="60"
            autocomplete="off"
            .value=${prop.title}
            @input=${(e: Event) => this.#set({ title: chosenIn(e) })}
        /></label>
        ${prop.sensors.length === 1 ? this.#kind() : nothing}
      </div>
      ${prop.sensors.length > 0 ? this.#sensors() : nothing}
      ${prop.kind === 'prop' ? html`${this.#home()} ${this.#moves()}` : nothing}`;
  }

  #kind() {
    const { first } = words;
    return html`<label
      >${first.kind}<select @change=${(e: Event) => this.#set({ kind: chosenIn(e) as PropAnswer['kind'] })}>
        ${(['prop', 'stop-station'] as const).map(
          (kind) =>
            html`<option value=${kind} .selected=${this.prop.kind === kind}>${first.kinds[kind]}</option>`,
        )}
      </select></label
    >`;
  }

  #sensors() {
    const { prop, taught } = this;
    const { first } = words;
    const found = endsOf(taught ?? undefined);
    const teach = found.length > 1 ? first.found(found) : prop.sensors.length > 1 ? first.teach : '';
    return html`<ul class="marks">
        ${prop.sensors.map((sensor) => this.#sensor(sensor))}
      </ul>
      ${teach === '' ? nothing : html`<p role="status">${teach}</p>`}`;
  }

  #sensor({ id, kind }: PropAnswer['sensors'][number]) {
    const { first } = words;
    const made = this.heard?.prop.sensors.find((s) => s.id === id)?.made ?? null;
    const choose = (e: Event) => {
      const chosen = chosenIn(e) as 'end' | 'plain';
      this.#set({ sensors: this.prop.sensors.map((s) => (s.id === id ? { id, kind: chosen } : s)) });
    };
    return html`<li>
      <span class=${made ? 'mark made' : 'mark'}
        ><span class="dot"></span
        ><span><b>${id}</b> ${made === null ? first.unknown : made ? first.made : first.notMade}</span></span
      >
      ${
        this.prop.kind === 'prop'
          ? html`<select aria-label=${first.sensorOf(id)} @change=${choose}>
              ${(['end', 'plain'] as const).map(
                (one) =>
                  html`<option value=${one} .selected=${kind === one}>${first.sensorKinds[one]}</option>`,
              )}
            </select>`
          : nothing
      }
    </li>`;
  }

  #home() {
    const { prop } = this;
    const { first } = words;
    const ends = prop.sensors.filter(({ kind }) => kind === 'end');
    if (ends.length === 0) return nothing;
    return html`<div class="fields">
      <label class="wide"
        >${first.home}<select @change=${(e: Event) => this.#set({ home: chosenIn(e) || null })}>
          <option value="" .selected=${prop.home === null}>${first.noHome}</option>
          ${ends.map(({ id }) => html`<option value=${id} .selected=${prop.home === id}>${id}</option>`)}
        </select></label
      >
    </div>`;
  }

  #moves() {
    const { moves } = this.prop;
    const { first } = words;
    return html`${moves.length > 0 ? html`<p class="soft time">${first.timeIt}</p>` : nothing}
      ${moves.map((move, n) => this.#move(move, n))}
      <p class="acts">
        <button type="button" @click=${this.#more}>${first.moreMoves}</button>
        ${
          moves.length > 0
            ? html`<button type="button" @click=${() => this.#set({ moves: moves.slice(0, -1) })}>
                ${first.fewerMoves}
              </button>`
            : nothing
        }
      </p>`;
  }

  #move(move: MoveAnswer, n: number) {
    const { first } = words;
    const set = (change: Partial<MoveAnswer>) =>
      this.#set({ moves: this.prop.moves.map((m, i) => (i === n ? { ...m, ...change } : m)) });
    const byClock = move.until === null;
    return html`<div class="fields move">
      <label
        >${first.moveName}<input
          required
          maxlength="40"
          pattern="[a-z0-9\\-]+"
          title=${first.moveRule}
          autocapitalize="off"
          autocomplete="off"
          .value=${move.name}
          @input=${(e: Event) => set({ name: chosenIn(e) })}
      /></label>
      <label
        >${first.until}<select @change=${(e: Event) => set({ until: chosenIn(e) || null })}>
          <option value="" .selected=${byClock}>${first.byClock}</option>
          ${this.prop.sensors.map(({ id }) => html`<option value=${id} .selected=${move.until === id}>${id}</option>`)}
        </select></label
      >
      ${number(byClock ? first.lasts : first.usual, move.seconds, 0.1, (seconds) => this.#set({ moves: timed(this.prop.moves, n, seconds) }))}
      ${number(first.limit, move.limit ?? proposedLimit(move.seconds), 0.1, (limit) => set({ limit }))}
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
    this.#set({ moves: [...moves, move] });
  }

  #tick(event: Event): void {
    this.#set({ wanted: (event.target as HTMLInputElement).checked });
  }

  #set(change: Partial<PropAnswer>): void {
    tell(this, 'prop-answer', { ...this.prop, ...change });
  }
}
customElements.define('first-prop', FirstProp);

function chosenIn(event: Event): string {
  return (event.target as HTMLInputElement | HTMLSelectElement).value;
}

function number(label: string, value: number, least: number, take: (value: number) => void) {
  return html`<label
    >${label}<input
      type="number"
      required
      min=${least}
      max="3600"
      step="any"
      .value=${String(value)}
      @input=${(e: Event) => take(Number(chosenIn(e)))}
  /></label>`;
}
