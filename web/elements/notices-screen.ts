import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { NoticesTold } from '../../server/notices/notices.ts';
import type { NoticeKind } from '../../server/notices/settings.ts';
import { dateOf, shortClockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask, isKeeper, tell } from './ask.ts';
import { sound, tellAt } from './field-errors.ts';
import { formLook } from './form-look.ts';
import { keeperOnly } from './keeper-only.ts';
import { look } from './look.ts';

const KINDS: readonly NoticeKind[] = ['stop', 'lockout', 'record', 'bus'];

/** Where notices go, about what and when not; a trial; and what became of the last. */
export class NoticesScreen extends LitElement {
  static override properties = {
    notices: { attribute: false },
    view: { attribute: false },
    live: { attribute: false },
  };
  static override styles = [
    look,
    formLook,
    css`
      form {
        max-width: 40rem;
      }

      fieldset {
        display: grid;
        margin: 18px 0 0;
        padding: 0;
        border: 0;
      }

      legend {
        padding: 0;
        font-weight: 600;
      }

      .fields {
        margin-top: 10px;
      }

      ul {
        padding: 0;
        list-style: none;
      }

      li {
        padding: 8px 0;
        border-top: 1.5px solid var(--line);
        overflow-wrap: anywhere;
      }
    `,
  ];
  declare notices: NoticesTold | null;
  declare view: View;
  declare live: boolean;

  override willUpdate(changed: PropertyValues<this>) {
    const before = changed.get('view') as View | undefined;
    if (changed.has('view') && isKeeper(this.view.me) && !isKeeper(before?.me ?? null))
      tell(this, 'want-notices');
  }

  override render() {
    return html`<h1>${words.notices.heading}</h1>
      <p>${words.notices.text}</p>
      ${isKeeper(this.view.me) ? this.#known() : keeperOnly(words.notices.keeperOnly)}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #known() {
    if (!this.notices) return html`<p class="soft">${words.file.reading}</p>`;
    const { settings } = this.notices;
    const { notices } = words;
    const time = (name: 'from' | 'to') =>
      html`<label
        >${notices[name]}<input
          type="time"
          name=${name}
          .value=${settings.quiet?.[name] ?? ''}
          @input=${(event: Event) => bothOrNone((event.target as HTMLInputElement).form!)}
      /></label>`;
    return html`<form @submit=${this.#save} novalidate>
        <div class="fields">
          <label class="wide"
            >${notices.address}<input
              name="address"
              type="url"
              maxlength="500"
              pattern="https?://.+"
              title=${notices.addressRule}
              placeholder="http://192.168.8.20:8080/yard"
              autocomplete="off"
              autocapitalize="off"
              spellcheck="false"
              .value=${settings.address ?? ''}
          /></label>
        </div>
        <p class="soft">${notices.addressText}</p>
        <fieldset>
          <legend>${notices.about}</legend>
          ${KINDS.map(
            (kind) =>
              html`<label
                ><input type="checkbox" name=${kind} .checked=${settings.about.includes(kind)} />${notices.kinds[kind]}</label
              >`,
          )}
        </fieldset>
        <fieldset>
          <legend>${notices.quiet}</legend>
          <div class="fields">${time('from')} ${time('to')}</div>
          <p class="soft">${notices.noQuiet}</p>
        </fieldset>
        <p class="acts">
          <button ?disabled=${!this.live}>${notices.save}</button>
          <button
            type="button"
            ?disabled=${!this.live || settings.address === null}
            @click=${() => ask(this, { do: 'try-notices' })}
          >
            ${notices.trial}
          </button>
          ${settings.address === null ? html`<span class="soft">${notices.trialFirst}</span>` : nothing}
        </p>
      </form>
      ${this.#fates()}`;
  }

  #fates() {
    const { fates } = this.notices!;
    const { notices } = words;
    const { timezone } = this.view.picture.yard;
    return html`<h2>${notices.last}</h2>
      <ul aria-live="polite">
        ${fates.length === 0 ? html`<li class="soft">${notices.none}</li>` : nothing}
        ${fates.map(
          ({ at, what, fate, why }) => html`<li>
            <b>${notices.fateKinds[what]}</b>, ${words.day(dateOf(at, timezone))} ${shortClockOf(at, timezone)}:
            ${notices.fates[fate](why)}
          </li>`,
        )}
      </ul>`;
  }

  #save(event: SubmitEvent): void {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    bothOrNone(form);
    if (!sound(form)) return;
    const fields = new FormData(form);
    const of = (name: string) => String(fields.get(name) ?? '').trim();
    const [address, from, to] = [of('address'), of('from'), of('to')];
    ask(this, {
      do: 'set-notices',
      address: address === '' ? null : address,
      about: KINDS.filter((kind) => fields.has(kind)),
      quiet: from === '' ? null : { from, to },
    });
  }
}
customElements.define('notices-screen', NoticesScreen);

/** Of the two times the empty one is wrong while the other is not. */
function bothOrNone(form: HTMLFormElement): void {
  const times = ['from', 'to'].map((name) => form.elements.namedItem(name) as HTMLInputElement);
  const lacking = times.every(({ value }) => value === '') ? [] : times.filter(({ value }) => value === '');
  for (const time of times) {
    time.dataset.wrong = lacking.includes(time) ? words.notices.bothTimes : '';
    if (time.ariaInvalid === 'true') tellAt(time);
  }
}
