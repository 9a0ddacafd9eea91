import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { BackupState } from '../set-up.ts';
import { dateOf, shortClockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask, isKeeper } from './ask.ts';
import { keeperOnly } from './keeper-only.ts';
import { amberEdge, look } from './look.ts';

/** One zip of all that is kept: taken, brought, told of, and restored only when asked twice. */
export class BackupScreen extends LitElement {
  static override properties = {
    backup: { attribute: false },
    view: { attribute: false },
    live: { attribute: false },
    sure: { state: true },
  };
  static override styles = [
    look,
    css`
      section {
        max-width: 40rem;
      }

      .pick {
        flex-direction: column;
        gap: 4px;
        align-items: stretch;
        width: 100%;
        margin-top: 8px;
        font-weight: 600;
      }

      .card {
        margin-top: 12px;
      }

      .refused {
        padding-left: 18px;
        box-shadow: ${amberEdge};
      }

      .said {
        margin-top: 12px;
        font-weight: 600;
        overflow-wrap: anywhere;
      }
    `,
  ];
  declare backup: BackupState;
  declare view: View;
  declare live: boolean;
  declare sure: boolean;

  constructor() {
    super();
    this.sure = false;
  }

  /** What became of it lies below the fold, behind the stop bar: it is brought into sight once it is there. */
  override updated(changed: PropertyValues<this>) {
    if (changed.has('backup'))
      this.renderRoot.querySelector('.card, .said')?.scrollIntoView({ block: 'nearest' });
  }

  override render() {
    const keeper = isKeeper(this.view.me);
    return html`<h1>${words.backup.heading}</h1>
      <p>${words.backup.text}</p>
      ${keeper ? this.#acts() : keeperOnly(words.backup.keeperOnly)}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #acts() {
    const { busy, refused, kept, told } = this.backup;
    const idle = this.live && busy === null;
    return html`<section>
        <h2>${words.backup.take}</h2>
        <p>${words.backup.secret}</p>
        <p class="acts">
          <button ?disabled=${!idle} @click=${() => ask(this, { do: 'take-backup' })}>${words.backup.takeAct}</button>
        </p>
      </section>
      <section>
        <h2>${words.backup.restore}</h2>
        <p>${words.backup.restoreText}</p>
        <label class="pick"
          >${words.backup.choose}<input type="file" accept=".zip,application/zip" ?disabled=${!idle} @change=${this.#bring}
        /></label>
        <div role="status">
          ${busy ? html`<p class="said">${words.backup.busy[busy]}</p>` : nothing}
          ${kept ? html`<p class="said">${words.backup.done(kept)}</p>` : nothing}
        </div>
        <div role="alert">${refused ? html`<p class="card refused">${refused}</p>` : nothing}</div>
        ${told && busy !== 'reading' ? this.#told(idle) : nothing}
      </section>`;
  }

  #told(idle: boolean) {
    const told = this.backup.told!;
    const { yard, mode } = this.view.picture;
    const { timezone, demonstration } = yard;
    const may = demonstration || mode === 'closed';
    const when = `${words.day(dateOf(told.madeAt, timezone))}, ${shortClockOf(told.madeAt, timezone)}`;
    return html`<div class="card">
      <h3>${told.yard}</h3>
      <p>${words.backup.made(when)}</p>
      <p>${words.backup.holds(told.nights, told.people)}</p>
      <p class="acts">
        <button class="blue" ?disabled=${!idle || !may} @click=${() => this.#restore(told.sum)}>
          ${this.sure ? words.backup.sure : words.backup.restoreAct}
        </button>
        ${may ? nothing : html`<span class="soft">${words.file.closeFirst}</span>`}
      </p>
    </div>`;
  }

  #bring(event: Event): void {
    const input = event.target as HTMLInputElement;
    const zip = input.files?.[0];
    // The same file can be chosen again.
    input.value = '';
    this.sure = false;
    if (zip) ask(this, { do: 'read-backup', zip });
  }

  #restore(sum: string): void {
    if (this.sure) ask(this, { do: 'restore', sum });
    this.sure = !this.sure;
  }
}
customElements.define('backup-screen', BackupScreen);
