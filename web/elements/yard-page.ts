import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { RecordLine } from '../../server/desk-door.ts';
import type { BackState } from '../back.ts';
import type { Outcome } from '../commands.ts';
import type { LightChoice } from '../light.ts';
import { type Route, type SetUpPart, tabOf } from '../route.ts';
import { NOTHING_READ, type SetUpState } from '../set-up.ts';
import type { LinkState } from '../store.ts';
import { lockoutsOf, type View } from '../view.ts';
import { words } from '../words.ts';
import './demo-banner.ts';
import './faults-screen.ts';
import { look } from './look.ts';
import './nights-screen.ts';
import type { PropScreen } from './prop-screen.ts';
import './prop-screen.ts';
import './said-note.ts';
import './set-up-screen.ts';
import './sign-in-screen.ts';
import './tab-bar.ts';
import './tonight-screen.ts';
import './top-strip.ts';
import './yard-screen.ts';

/** Screens that know what to do with a wide screen. */
const WIDE: ReadonlySet<string> = new Set(['yard', 'wall', 'past', 'tonight']);

/**
 * The frame on every screen: strip, content, stop bar, dead gap, tabs. The stop bar comes in by its slot and is first
 * in the order of the keyboard. Everything shown comes down from `view`; everything asked goes up by events.
 */
export class YardPage extends LitElement {
  static override properties = {
    view: { attribute: false },
    link: { attribute: false },
    silentMs: { attribute: false },
    route: { attribute: false },
    said: { attribute: false },
    light: { attribute: false },
    closed: { attribute: false },
    addresses: { attribute: false },
    back: { attribute: false },
    setUp: { attribute: false },
    brought: { state: true },
  };
  static override styles = [
    look,
    css`
      :host {
        display: grid;
        grid-template-rows: auto minmax(0, 1fr) auto var(--dead-gap) auto;
        grid-template-columns: minmax(0, 1fr);
        height: var(--view-height, 100dvh);
        background: var(--field);
      }

      top-strip {
        grid-row: 1;
      }

      .content {
        position: relative;
        display: grid;
        grid-row: 2;
        min-height: 0;
      }

      slot[name='stop'] {
        display: block;
        grid-row: 3;
      }

      tab-bar {
        grid-row: 5;
      }

      main {
        overflow: hidden auto;
        overscroll-behavior: contain;
        padding: 12px max(12px, (100% - 1200px) / 2) 24px;
      }

      main.wide {
        padding: 12px max(12px, (100% - 1800px) / 2) 24px;
      }

      main:focus {
        outline: 0;
      }

      /* A refusal answers a press anywhere below: it stays in sight however far the content is scrolled. */
      said-note {
        position: sticky;
        z-index: 2;
        top: 0;
        display: block;
      }

      .hatch {
        position: absolute;
        inset: 0;
        background: repeating-linear-gradient(-45deg, var(--hatch) 0 2px, transparent 2px 11px);
        pointer-events: none;
      }

      .lost {
        margin-bottom: 16px;
        border: 3px dashed var(--ink);
        background: var(--field);
      }

      .lost h2 {
        margin-top: 0;
        color: var(--ink);
        font-size: 18px;
        font-weight: 700;
      }

      .lost ul {
        margin-top: 8px;
        padding-left: 20px;
      }
    `,
  ];
  declare view: View | null;
  declare link: LinkState;
  declare silentMs: number;
  declare route: Route;
  declare said: Outcome | null;
  declare light: LightChoice;
  declare closed: RecordLine[] | null;
  declare addresses: string[] | null;
  declare back: BackState;
  declare setUp: SetUpState;
  declare brought: Readonly<Record<string, 'coming' | 'here' | 'failed'>>;
  #wantsRelease = false;

  constructor() {
    super();
    this.view = null;
    this.link = 'looking';
    this.silentMs = 0;
    this.route = { screen: 'yard' };
    this.said = null;
    this.light = 'auto';
    this.closed = null;
    this.addresses = null;
    this.back = { past: null, replay: null, sheet: null };
    this.setUp = NOTHING_READ;
    this.brought = {};
  }

  /** To where a prop is released: its sheet, and on it the button, which may lie far below. */
  readonly #toRelease = ({ detail: prop }: CustomEvent<string>) => {
    if (this.#onSheetOf(prop)) this.#showRelease();
    else {
      this.#wantsRelease = true;
      location.hash = `#/prop/${encodeURIComponent(prop)}`;
    }
  };

  override updated(changed: PropertyValues<this>) {
    const before = changed.get('route');
    if (!before || JSON.stringify(before) === JSON.stringify(this.route)) return;
    const main = this.renderRoot.querySelector('main');
    main?.scrollTo(0, 0);
    main?.focus({ preventScroll: true });
    if (this.#wantsRelease) this.#showRelease();
  }

  override render() {
    const { view, link } = this;
    const { screen } = this.route;
    // where the keys of the PIN, or the night, need the room
    const quiet = screen === 'past' || screen === 'wall' || screen === 'sign-in';
    const wide = WIDE.has(screen);
    const locked = view ? lockoutsOf(view.picture) : [];
    const news = locked.map(({ lead: [, prop] }) => words.lockout.heading(prop.title)).join('. ');
    return html`
      <slot name="stop"></slot>
      <top-strip
        .picture=${view?.picture ?? null}
        .nowMs=${view?.nowMs ?? 0}
        .link=${link}
        .silentMs=${this.silentMs}
        .light=${this.light}
        .large=${screen === 'wall'}
        .wide=${wide}
      ></top-strip>
      <div class="content">
        <main tabindex=${screen === 'wall' ? 0 : -1} class=${wide ? 'wide' : ''}>
          ${link === 'lost' ? this.#lost() : nothing}
          <said-note .outcome=${this.said}></said-note>
          ${view?.picture.yard.demonstration ? html`<demo-banner .view=${view} .whole=${screen === 'yard'} .quiet=${quiet} .onSheet=${this.#onSheetOf(view.tour?.prop)} @to-release=${this.#toRelease}></demo-banner>` : nothing}
          ${view ? this.#screen(view) : nothing}
        </main>
        ${link === 'lost' ? html`<div class="hatch"></div>` : nothing}
      </div>
      ${screen === 'wall' ? nothing : html`<tab-bar .here=${tabOf(this.route)} .locked=${locked.length}></tab-bar>`}
      <p class="unseen" role="status">${news}</p>
    `;
  }

  #onSheetOf(prop: string | undefined): boolean {
    return this.route.screen === 'prop' && this.route.prop === prop;
  }

  #showRelease(): void {
    this.#wantsRelease = false;
    void this.renderRoot.querySelector<PropScreen>('prop-screen')?.showRelease();
  }

  #screen(view: View) {
    const { route } = this;
    switch (route.screen) {
      case 'yard':
        return html`<yard-screen .view=${view}></yard-screen>`;
      case 'tonight':
        return html`<tonight-screen .view=${view}></tonight-screen>`;
      case 'faults':
        return html`<faults-screen .view=${view} .closed=${this.closed}></faults-screen>`;
      case 'setup':
        if (route.part) return this.#setUpPart(route.part, view);
        return html`<set-up-screen .view=${view} .light=${this.light} .addresses=${this.addresses}></set-up-screen>`;
      case 'sign-in':
        return html`<sign-in-screen .disabled=${this.link !== 'live'}></sign-in-screen>`;
      case 'nights':
        return html`<nights-screen .past=${this.back.past} .night=${route.night}></nights-screen>`;
      case 'past':
        return this.#past(route.night, route.at, view);
      case 'wall':
        this.#bring('wall', () => import('./wall-screen.ts'));
        return html`${this.#coming('wall')}<wall-screen .view=${view}></wall-screen>`;
      case 'prop':
        return html`<prop-screen
          .view=${view}
          .propId=${route.prop}
          .sheet=${this.back.sheet?.prop === route.prop ? this.back.sheet : null}
        ></prop-screen>`;
    }
  }

  /** Come in a chunk of their own: the first screen must not wait for them. */
  #setUpPart(part: SetUpPart, view: View) {
    void import('./set-up-part.ts').catch(() => {});
    return html`<set-up-part .which=${part} .view=${view} .state=${this.setUp} .live=${this.link === 'live'}></set-up-part>`;
  }

  #past(night: string | null, at: number | null, view: View) {
    this.#bring('past', () => import('./past-screen.ts'));
    return html`${this.#coming('past')}<past-screen .night=${night} .at=${at} .replay=${this.back.replay} .live=${view}></past-screen>`;
  }

  /** Screens in chunks of their own: until one has come, and where it does not, the page says so. */
  #bring(name: string, chunk: () => Promise<unknown>): void {
    if (this.brought[name] !== undefined) return;
    this.brought = { ...this.brought, [name]: 'coming' };
    chunk().then(
      () => {
        this.brought = { ...this.brought, [name]: 'here' };
      },
      () => {
        this.brought = { ...this.brought, [name]: 'failed' };
      },
    );
  }

  #coming(name: string) {
    if (this.brought[name] === 'here') return nothing;
    return html`<p class="soft">${this.brought[name] === 'failed' ? words.past.failed : words.past.looking}</p>`;
  }

  #lost() {
    return html`<section class="card lost">
      <h2>${words.lost.heading}</h2>
      <p>${words.lost.text}</p>
      <ul>
        ${words.lost.checks.map((check) => html`<li>${check}</li>`)}
      </ul>
    </section>`;
  }
}
// main.ts defines it, once the page knows what language it speaks
