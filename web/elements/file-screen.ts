import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { Picture } from '../../server/picture.ts';
import type { CheckedFile } from '../../server/yard-file.ts';
import { linesOf } from '../file-lines.ts';
import { keepAs } from '../keep-as.ts';
import type { Draft, FileState } from '../set-up.ts';
import { titleOf } from '../view.ts';
import { words } from '../words.ts';
import { ask, tell } from './ask.ts';
import './change-list.ts';
import { amberEdge, look } from './look.ts';

/** What a copy of the demonstration's file is called: the name that the words beside it then start. */
const OWN_NAME = 'my-yard.yaml';

/** The yard file: its text, what is wrong with it in its place, in what it differs from the one that runs, and the saving. */
export class FileScreen extends LitElement {
  static override properties = {
    file: { attribute: false },
    draft: { attribute: false },
    keeper: { attribute: false },
    live: { attribute: false },
    picture: { attribute: false },
  };
  static override styles = [
    look,
    css`
      textarea {
        display: block;
        width: 100%;
        height: max(240px, 42vh);
        padding: 10px 12px;
        border: 1.5px solid var(--edge);
        border-radius: var(--round);
        background: var(--plate);
        color: var(--ink);
        font: 16px/1.45 ui-monospace, 'Liberation Mono', Menlo, Consolas, monospace;
        tab-size: 2;
        resize: vertical;
        white-space: pre;
      }

      textarea + p {
        margin-top: 8px;
      }

      label {
        margin-top: 8px;
        font-weight: 600;
      }

      .found {
        padding: 0;
        list-style: none;
      }

      .found > li {
        padding: 10px 12px 10px 18px;
        margin-top: 4px;
        background: var(--plate);
        box-shadow: ${amberEdge};
      }

      .place {
        overflow-x: auto;
        margin: 6px 0;
        font: 15px/1.4 ui-monospace, 'Liberation Mono', Menlo, Consolas, monospace;
        white-space: pre;
      }

      .found .acts {
        margin-top: 4px;
      }

      .review {
        padding-left: 20px;
      }

      .review li {
        padding: 3px 0;
      }

      .said {
        margin-top: 12px;
        font-weight: 600;
      }
    `,
  ];
  declare file: FileState | null;
  declare keeper: boolean;
  declare live: boolean;
  declare draft: Draft | null;
  declare picture: Picture;

  override willUpdate(changed: PropertyValues<this>) {
    if (changed.has('keeper') && this.keeper) tell(this, 'want-file');
  }

  /** What was found may lie below the fold, behind the stop bar: it is brought into sight once it is there. */
  override updated(changed: PropertyValues<this>) {
    const before = changed.get('file') as FileState | null | undefined;
    const checked = this.file?.checked;
    if (!changed.has('file') || !checked || checked === before?.checked) return;
    const first =
      this.renderRoot.querySelector('change-list, .found > li, .review > li') ??
      this.renderRoot.querySelector('.said');
    // once it is drawn: until then it has no height, and its first line alone would come into sight
    requestAnimationFrame(() => first?.scrollIntoView({ block: 'nearest' }));
  }

  override render() {
    return html`<h1>${words.file.heading}</h1>
      <p>${words.file.text}</p>
      ${this.keeper ? this.#box() : html`<p>${words.file.keeperOnly}</p><a class="button" href="#/sign-in">${words.signIn.act}</a>`}
      <p class="acts"><a class="button" href="#/setup">${words.setup.back}</a></p>`;
  }

  #box() {
    const { file } = this;
    if (!file) return html`<p class="soft">${words.file.reading}</p>`;
    const { told } = file;
    const text = this.draft?.text ?? told.text;
    return html`
      <label for="text">${told.name}</label>
      <textarea
        id="text"
        spellcheck="false"
        autocapitalize="off"
        autocomplete="off"
        wrap="off"
        .value=${text}
        @input=${(event: Event) => tell(this, 'file-draft', (event.target as HTMLTextAreaElement).value)}
      ></textarea>
      <p class="soft">${text === told.text ? this.#running() : words.file.changed}</p>
      <div class="acts">
        <button ?disabled=${!this.live} @click=${() => ask(this, { do: 'check-file', text })}>${words.file.check}</button>
        <button @click=${() => this.#copy(told.editable ? told.name : OWN_NAME, text)}>${words.file.copy}</button>
        ${this.draft ? html`<button @click=${() => tell(this, 'file-draft', null)}>${words.file.discard}</button>` : nothing}
      </div>
      ${told.editable ? nothing : html`<p class="soft">${words.file.demo}</p>`}
      <div role="status">${this.#outcome(file, text)}</div>
      ${this.#changes(text)} ${this.#found(text)} ${this.#startAnew(text)}
    `;
  }

  /** Whether the text runs, and what it waits for. */
  #running(): string {
    const { runs, waits } = this.file!.told;
    if (runs) return words.file.runs;
    if (!waits) return words.file.runsNot;
    if (waits.when === 'closed') return words.file.waitsClosed;
    if (waits.when === 'start') return words.file.waitsStart;
    const { props, scenes } = this.picture;
    return words.file.waitsRest([
      ...waits.props.map((id) => titleOf(props, id)),
      ...waits.scenes.map((id) => titleOf(scenes, id)),
    ]);
  }

  /** In what it differs, and only there the saving: nobody saves what they have not seen. */
  #changes(text: string) {
    const found = this.#checked(text);
    const { told } = this.file!;
    if (!found?.ok || text === told.text) return nothing;
    const { changes } = found;
    return html`<h2>${words.file.changes(changes.length)}</h2>
      <change-list .changes=${changes} .picture=${this.picture}></change-list>
      ${
        told.editable
          ? html`<p class="acts">
            <button
              class="blue"
              ?disabled=${!this.live}
              @click=${() => ask(this, { do: 'save-file', text, base: this.draft?.base ?? told.hash })}
            >
              ${words.file.save}
            </button>
          </p>`
          : nothing
      }`;
  }

  /** In one line at the buttons: what became of the last press. */
  #outcome(file: FileState, text: string) {
    if (file.saved && text === file.told.text)
      return html`<p class="said">${words.file.saved(file.told.lastGood, this.#running())}</p>`;
    const found = this.#checked(text);
    if (!found) return nothing;
    const { ok, errors, findings } = found;
    const warnings = findings.filter(({ level }) => level === 'warning').length;
    const fine = warnings > 0 ? words.file.warned(warnings) : words.file.fine;
    const first = Math.min(...errors.map(({ line }) => line));
    return html`<p class="said">${ok ? fine : words.file.firstIn(errors.length, first)}</p>`;
  }

  /** A changed bus waits for a start, which is asked for here. */
  #startAnew(text: string) {
    const { told } = this.file!;
    if (told.waits?.when !== 'start' || text !== told.text) return nothing;
    return html`<p class="acts">
      <button ?disabled=${!this.live || this.picture.mode !== 'closed'} @click=${() => ask(this, { do: 'start-anew' })}>
        ${words.file.startAnew}
      </button>
      ${this.picture.mode === 'closed' ? nothing : html`<span class="soft">${words.file.closeFirst}</span>`}
    </p>`;
  }

  /** What was found in this very text. */
  #checked(text: string) {
    const checked = this.file?.checked;
    return checked?.text === text ? checked.found : null;
  }

  #found(text: string) {
    const found = this.#checked(text);
    if (!found) return nothing;
    const { ok, errors, findings } = found;
    if (ok) return this.#review(found, words.file.warnings, words.file.review);
    const lines = linesOf(text);
    return html`<h2>${words.file.errors(errors.length)}</h2>
        <ol class="found">
          ${errors.map(
            ({ line, column, message }) => html`<li>
              <p>${message}</p>
              <div class="place">${lines.excerpt(line, column)}</div>
              <p class="acts"><button @click=${() => this.#goTo(lines.offset(line, column))}>${words.file.goTo(line)}</button></p>
            </li>`,
          )}
        </ol>
        ${findings.length > 0 ? this.#review(found, words.file.warningsLeft, words.file.reviewLeft) : nothing}`;
  }

  /** What the review finds; where there are mistakes, in what could be read, and it says what is not in its sums. */
  #review({ notes, findings, leftOut }: CheckedFile, toChange: string, toKnow: string) {
    const warnings = findings.filter(({ level }) => level === 'warning').map((one) => one.text);
    const others = [
      ...notes.map((one) => one.message),
      ...findings.filter(({ level }) => level === 'note').map((one) => one.text),
    ];
    return html`
      ${warnings.length > 0 ? html`<h2>${toChange}</h2><ul class="found">${warnings.map((one) => html`<li>${one}</li>`)}</ul>` : nothing}
      ${
        others.length > 0
          ? html`<h2>${toKnow}</h2>
              ${leftOut.length > 0 ? html`<p>${words.file.leftOut(leftOut)}</p>` : nothing}
              <ul class="review">${others.map((one) => html`<li>${one}</li>`)}</ul>`
          : nothing
      }`;
  }

  #goTo(offset: number): void {
    const box = this.renderRoot.querySelector('textarea')!;
    box.focus();
    box.setSelectionRange(offset, offset);
    // A text box scrolls only to where it types: so it is brought there by its share of the lines.
    const line = box.value.slice(0, offset).split('\n').length;
    const all = box.value.split('\n').length;
    box.scrollTop = (box.scrollHeight * (line - 1)) / all - box.clientHeight / 2;
    box.scrollIntoView({ block: 'nearest' });
  }

  #copy(name: string, text: string): void {
    keepAs(name, new Blob([text], { type: 'text/yaml' }));
  }
}
customElements.define('file-screen', FileScreen);
