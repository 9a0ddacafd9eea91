import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { NoticesTold } from '../../server/notices/notices.ts';
import type { NoticeKind } from '../../server/notices/settings.ts';
import { dateOf, shortClockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask, isKeeper, tell } from './ask.ts';
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
    said: { state: true },
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
  declare said: string;

  constructor() {
    super();
    this.said = '';
  }

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
      html`<label>${notices[name]}<input type="time" name=${name} .value=${settings.quiet?.[name] ?? ''} /></label>`;
    return html`<form @submit=${this.#save}>
        <div class="fields">
          <label class="wide"
            >${notices.address}<input
              name="address"
              type="url"
              maxlength="500"
              pattern="https?://.+"
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
        <p role="status">${this.said}</p>
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
            <b>${notices.fateKinds[what]}</b>, ${dateOf(at, timezone)} ${shortClockOf(at, timezone)}:
            ${notices.fates[fate](why)}
          </li>`,
        )}
      </ul>`;
  }

  #save(event: SubmitEvent): void {
    event.preventDefault();
    const fields = new FormData(event.target as HTMLFormElement);
    const of = (name: string) => String(fields.get(name) ?? '').trim();
    const [address, from, to] = [of('address'), of('from'), of('to')];
    this.said = (from === '') === (to === '') ? '' : words.notices.bothTimes;
    if (this.said !== '') return;
    ask(this, {
      do: 'set-notices',
      address: address === '' ? null : address,
      about: KINDS.filter((kind) => fields.has(kind)),
      quiet: from === '' ? null : { from, to },
    });
  }
}
customElements.define('notices-screen', NoticesScreen);
