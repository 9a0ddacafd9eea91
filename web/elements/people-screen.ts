import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { Listed } from '../set-up.ts';
import type { Me } from '../store.ts';
import { words } from '../words.ts';
import { ask, isKeeper, tell } from './ask.ts';
import { sound } from './field-errors.ts';
import { look } from './look.ts';

/** Who may sign in: a keeper adds, removes and sets PINs; everyone may change their own. */
export class PeopleScreen extends LitElement {
  static override properties = {
    me: { attribute: false },
    people: { attribute: false },
    pinOf: { attribute: false },
    live: { attribute: false },
    sure: { state: true },
  };
  static override styles = [
    look,
    css`
      ul {
        padding: 0;
        list-style: none;
      }

      li {
        display: flex;
        flex-wrap: wrap;
        gap: 8px 12px;
        align-items: center;
        padding: 8px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      .name {
        flex: 1 1 10rem;
        font-weight: 600;
        overflow-wrap: anywhere;
      }

      form {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(9.5rem, 1fr));
        gap: 8px 12px;
        align-items: end;
        max-width: 46rem;
      }

      form:has(.wrong) label {
        align-self: start;
      }

      form + p {
        margin-top: 8px;
      }

      label {
        flex-direction: column;
        gap: 2px;
        align-items: stretch;
        font-weight: 600;
      }

      input {
        width: 100%;
        min-width: 0;
      }
    `,
  ];
  declare me: Me | null;
  /** Null while not read. */
  declare people: readonly Listed[] | null;
  /** Whose PIN was changed last. */
  declare pinOf: string | null;
  declare live: boolean;
  /** Who is about to be removed: asked once more. */
  declare sure: string | null;

  constructor() {
    super();
    this.sure = null;
  }

  override willUpdate(changed: PropertyValues<this>) {
    if (changed.has('me') && isKeeper(this.me)) tell(this, 'want-people');
  }

  override render() {
    const { me } = this;
    return html`<h1>${words.people.heading}</h1>
      <p>${words.people.text}</p>
      ${me ? nothing : html`<p class="acts"><a class="button" href="#/sign-in">${words.signIn.act}</a></p>`}
      ${isKeeper(me) ? this.#list() : html`<p class="soft">${words.people.keeperOnly} ${words.signIn.keeper}</p>`} ${me ? this.#own(me) : nothing}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #list() {
    if (!this.people) return html`<p class="soft">${words.file.reading}</p>`;
    return html`<h2>${words.people.list}</h2>
      <ul>
        ${this.people.map(
          ({ name, role }) => html`<li>
            <span class="name">${name}</span><span class="soft">${words.signIn.roles[role]}</span>
            <button
              ?disabled=${!this.live}
              aria-label=${this.sure === name ? words.people.sureOf(name) : words.people.removeOf(name)}
              @click=${() => this.#remove(name)}
            >
              ${this.sure === name ? words.people.sure : words.people.remove}
            </button>
          </li>`,
        )}
      </ul>
      <h2>${words.people.add}</h2>
      <form @submit=${this.#add} novalidate>
        <label>${words.people.name}<input name="name" maxlength="40" autocomplete="off" required /></label>
        <label
          >${words.people.role}<select name="role">
            <option value="helper">${words.signIn.roles.helper}</option>
            <option value="keeper">${words.signIn.roles.keeper}</option>
          </select></label
        >
        ${this.#pin()}
        <button ?disabled=${!this.live}>${words.people.add}</button>
      </form>
      <p class="soft">${words.people.roles}</p>`;
  }

  #own(me: Me) {
    return html`<h2>${words.people.own}</h2>
      <form
        novalidate
        @submit=${(event: SubmitEvent) => {
          const sent = fieldsOf(event);
          if (sent) ask(this, { do: 'set-pin', name: me.name, pin: sent('pin') });
        }}
      >
        ${this.#pin()}
        <button ?disabled=${!this.live}>${words.people.change}</button>
      </form>
      <p class="soft" role="status">${this.pinOf === me.name ? words.people.changed : words.people.ownText}</p>`;
  }

  #pin() {
    return html`<label
      >${words.people.pin}<input
        name="pin"
        type="password"
        inputmode="numeric"
        pattern="[0-9]{4,12}"
        title=${words.people.pinRule}
        autocomplete="new-password"
        required
    /></label>`;
  }

  #add(event: SubmitEvent): void {
    const sent = fieldsOf(event);
    if (!sent) return;
    const role = sent('role') === 'keeper' ? 'keeper' : 'helper';
    ask(this, { do: 'add-person', name: sent('name'), role, pin: sent('pin') });
  }

  #remove(name: string): void {
    const sure = this.sure === name;
    this.sure = sure ? null : name;
    if (sure) ask(this, { do: 'remove-person', name });
  }
}
customElements.define('people-screen', PeopleScreen);

/** The fields of a form that was sent, which is then emptied: a PIN does not stay in sight. Null where one is wrong. */
function fieldsOf(event: SubmitEvent): ((name: string) => string) | null {
  event.preventDefault();
  const form = event.target as HTMLFormElement;
  if (!sound(form)) return null;
  const fields = new FormData(form);
  form.reset();
  return (name) => String(fields.get(name) ?? '').trim();
}
