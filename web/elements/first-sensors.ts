import { css, html, LitElement, nothing } from 'lit';
import type { PropAnswer } from '../first-answers.ts';
import { endsOf, type Taught } from '../first-boards.ts';
import { withOneSensorMore, withoutSensor, withSensorNamed } from '../first-planned.ts';
import { firstWords } from '../first-words.ts';
import { tell } from './ask.ts';
import { tellAt } from './field-errors.ts';
import { formLook } from './form-look.ts';
import { look } from './look.ts';

type Sensor = PropAnswer['sensors'][number];

/** The sensors of a prop of a first file: live where its board is heard, named by hand where it is not. */
export class FirstSensors extends LitElement {
  static override properties = {
    prop: { attribute: false },
    heard: { attribute: false },
    taught: { attribute: false },
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
        align-items: end;
        margin-top: 4px;
      }

      .marks label {
        flex-direction: column;
        gap: 2px;
        align-items: stretch;
        min-width: 0;
        font-weight: 600;
      }

      .mark {
        display: flex;
        gap: 10px;
        align-items: center;
        align-self: center;
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
    `,
  ];
  declare prop: PropAnswer;
  /** What its board says of them now; null where it is not heard. */
  declare heard: readonly { id: string; made: boolean | null }[] | null;
  declare taught: Taught | null;

  override render() {
    const { prop, taught } = this;
    const first = firstWords();
    const found = endsOf(taught ?? undefined);
    const pushed = (this.heard?.length ?? 0) > 1;
    const teach = found.length > 1 ? first.found(found) : pushed ? first.teach : '';
    return html`${
      prop.sensors.length === 0
        ? nothing
        : html`<ul class="marks">
            ${prop.sensors.map((sensor, n) => this.#sensor(sensor, n))}
          </ul>`
    }
    ${teach === '' ? nothing : html`<p role="status">${teach}</p>`} ${prop.planned && prop.kind === 'prop' ? this.#acts() : nothing}`;
  }

  /** A name that was refused is looked at anew: the one that had it may be gone, or be called otherwise. */
  override updated() {
    for (const field of this.renderRoot.querySelectorAll<HTMLInputElement>('[data-wrong]'))
      this.#rename(Number(field.dataset.sensor), field);
  }

  #acts() {
    const { prop } = this;
    const last = prop.sensors.findLastIndex(({ id }) => !this.#isHeard(id));
    return html`<p class="acts">
      <button type="button" @click=${() => this.#set(withOneSensorMore(prop))}>${firstWords().moreSensors}</button>
      ${
        last < 0
          ? nothing
          : html`<button type="button" @click=${() => this.#set(withoutSensor(prop, last))}>
              ${firstWords().withoutSensor(prop.sensors[last]!.id)}
            </button>`
      }
    </p>`;
  }

  #sensor(sensor: Sensor, n: number) {
    const named = this.prop.planned && this.prop.kind === 'prop' && !this.#isHeard(sensor.id);
    return html`<li>
      ${named ? this.#name(sensor, n) : this.#mark(sensor)}
      ${this.prop.kind === 'prop' ? this.#kind(sensor, n) : nothing}
    </li>`;
  }

  #mark({ id }: Sensor) {
    const first = firstWords();
    const made = this.heard?.find((s) => s.id === id)?.made ?? null;
    return html`<span class=${made ? 'mark made' : 'mark'}
      ><span class="dot"></span
      ><span><b>${id}</b> ${made === null ? first.unknown : made ? first.made : first.notMade}</span></span
    >`;
  }

  #name({ id }: Sensor, n: number) {
    const first = firstWords();
    return html`<label
      >${first.sensorName(n + 1)}<input
        required
        maxlength="40"
        pattern="[a-z0-9\\-]+"
        title=${first.idRule}
        data-sensor=${n}
        autocapitalize="off"
        autocomplete="off"
        .value=${id}
        @change=${(event: Event) => this.#rename(n, event.target as HTMLInputElement)}
    /></label>`;
  }

  #kind({ id, kind }: Sensor, n: number) {
    const first = firstWords();
    const choose = (event: Event) => {
      const chosen = (event.target as HTMLSelectElement).value as Sensor['kind'];
      const { sensors } = this.prop;
      this.#set({ ...this.prop, sensors: sensors.map((s, i) => (i === n ? { ...s, kind: chosen } : s)) });
    };
    return html`<select aria-label=${first.sensorOf(id)} @change=${choose}>
      ${(['end', 'plain'] as const).map(
        (one) => html`<option value=${one} .selected=${kind === one}>${first.sensorKinds[one]}</option>`,
      )}
    </select>`;
  }

  /** A whole name, since letter by letter it may be another's. One that another has stays typed, and is said to be wrong. */
  #rename(n: number, field: HTMLInputElement): void {
    const id = field.value.trim();
    const heard = (this.heard ?? []).map((s) => s.id);
    const renamed = id === '' ? null : withSensorNamed(this.prop, n, id, heard);
    if (renamed || id === '') delete field.dataset.wrong;
    else field.dataset.wrong = firstWords().sensorTwice(id);
    tellAt(field);
    if (renamed) this.#set(renamed);
  }

  #isHeard(id: string): boolean {
    return this.heard?.some((s) => s.id === id) === true;
  }

  #set(prop: PropAnswer): void {
    tell(this, 'sensors-answer', prop);
  }
}
customElements.define('first-sensors', FirstSensors);
