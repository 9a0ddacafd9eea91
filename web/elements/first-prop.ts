import { css, html, LitElement, nothing } from 'lit';
import type { StrangerBoard } from '../../server/bus/strangers.ts';
import type { MoveAnswer, PropAnswer } from '../first-answers.ts';
import type { Taught } from '../first-boards.ts';
import { identified, withId } from '../first-planned.ts';
import { firstWords } from '../first-words.ts';
import { tell } from './ask.ts';
import './first-moves.ts';
import './first-sensors.ts';
import { formLook } from './form-look.ts';
import { look } from './look.ts';
import { chosenIn } from './number-field.ts';

/** A prop of a first file: found on the bus, or added by hand before its board is there. */
export class FirstProp extends LitElement {
  static override properties = {
    prop: { attribute: false },
    heard: { attribute: false },
    taught: { attribute: false },
    circuits: { attribute: false },
    others: { attribute: false },
    twice: { attribute: false },
  };
  static override styles = [
    look,
    formLook,
    css`
      .fields + .fields {
        margin-top: 10px;
      }
    `,
  ];
  declare prop: PropAnswer;
  /** Its board and what it says now; null where it is not heard. */
  declare heard: { board: StrangerBoard; prop: StrangerBoard['props'][number] } | null;
  declare taught: Taught | null;
  declare circuits: readonly string[];
  /** Ids of the other props. */
  declare others: readonly string[];
  /** Whether another prop that goes into the file has its id. */
  declare twice: boolean;

  override render() {
    const { prop } = this;
    const first = firstWords();
    const name = prop.id || prop.title.trim() || first.noName;
    return html`<section class="card" aria-label=${name}>
      <h3>${name}</h3>
      <p class="soft">${this.#where()}</p>
      <label><input type="checkbox" .checked=${prop.wanted} @change=${this.#tick} />${first.wanted}</label>
      ${prop.wanted ? this.#wanted() : nothing}
      ${
        prop.planned && !this.heard
          ? html`<p class="acts">
              <button type="button" @click=${() => tell(this, 'prop-gone')}>${first.remove(name)}</button>
            </p>`
          : nothing
      }
    </section>`;
  }

  #where(): string {
    const { prop, heard } = this;
    const first = firstWords();
    if (heard?.board.up) return first.onBoard(prop.board);
    return prop.planned && !heard ? first.plannedText : first.notHeard(prop.board);
  }

  #wanted() {
    const { prop } = this;
    const first = firstWords();
    // whoever added it by hand has said so
    const asked = prop.sensors.length === 1 && !prop.planned;
    return html`<div class="fields">
        <label class=${asked ? '' : 'wide'}
          >${first.propTitle}<input
            required
            maxlength="60"
            autocomplete="off"
            placeholder=${prop.planned ? first.propExample : ''}
            .value=${prop.title}
            @input=${(e: Event) => this.#set({ title: chosenIn(e) })}
            @change=${(e: Event) => this.#set(identified({ ...this.prop, title: chosenIn(e) }, this.others))}
        /></label>
        ${asked ? this.#kind() : nothing}
      </div>
      ${prop.planned ? this.#ids() : nothing}
      <first-sensors
        .prop=${prop}
        .heard=${this.heard?.prop.sensors ?? null}
        .taught=${this.taught}
        @sensors-answer=${(e: CustomEvent<PropAnswer>) => this.#set(e.detail)}
      ></first-sensors>
      ${
        prop.kind === 'prop'
          ? html`${this.#home()}
              <first-moves
                .prop=${prop}
                .circuits=${this.circuits}
                @moves-answer=${(e: CustomEvent<readonly MoveAnswer[]>) => this.#set({ moves: e.detail })}
              ></first-moves>`
          : nothing
      }`;
  }

  /** The names that its board will bear; whole ones, since letter by letter they may be another's. */
  #ids() {
    const { prop } = this;
    const first = firstWords();
    const id = (label: string, value: string, take: (id: string) => Partial<PropAnswer>, wrong = '') =>
      html`<label
        >${label}<input
          required
          maxlength="40"
          pattern="[a-z0-9\\-]+"
          title=${first.idRule}
          data-wrong=${wrong}
          autocapitalize="off"
          autocomplete="off"
          .value=${value}
          @change=${(e: Event) => this.#set(take(chosenIn(e).trim()))}
      /></label>`;
    return html`<div class="fields">
        ${id(first.propId, prop.id, (to) => withId(prop, to), this.twice ? first.propTwice(prop.id) : '')}
        ${this.heard ? nothing : id(first.boardId, prop.board, (board) => ({ board }))}
      </div>
      <p class="soft">${first.idsText}</p>`;
  }

  #kind() {
    const first = firstWords();
    return html`<label
      >${first.kind}<select @change=${(e: Event) => this.#set({ kind: chosenIn(e) as PropAnswer['kind'] })}>
        ${(['prop', 'stop-station'] as const).map(
          (kind) =>
            html`<option value=${kind} .selected=${this.prop.kind === kind}>${first.kinds[kind]}</option>`,
        )}
      </select></label
    >`;
  }

  #home() {
    const { prop } = this;
    const first = firstWords();
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

  #tick(event: Event): void {
    this.#set({ wanted: (event.target as HTMLInputElement).checked });
  }

  #set(change: Partial<PropAnswer>): void {
    tell(this, 'prop-answer', { ...this.prop, ...change });
  }
}
customElements.define('first-prop', FirstProp);
