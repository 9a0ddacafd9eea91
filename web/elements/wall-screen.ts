import { html, LitElement, nothing } from 'lit';
import { modeText, unheardText } from '../mode-text.ts';
import { stateText, stationPressed } from '../prop-text.ts';
import { shortClockOf } from '../time.ts';
import { byZone, isWell, lockoutsOf, type NamedProp, unsureOf, type View, type ZoneProps } from '../view.ts';
import { words } from '../words.ts';
import './link-card.ts';
import { look } from './look.ts';
import { endsOf, markLook, markOf } from './marks.ts';
import './now-next.ts';
import { wallLook } from './wall-look.ts';

/** Above so many props only those are named that move or are not well: more would be too small to read from afar. */
const NAMED_MOST = 24;
const LARGEST_PX = 40;
const LEAST_PX = 15;
/** Narrower than its two sides beside each other it is a phone, where one scrolls and the letters stay as they are. */
const TWO_SIDES = '(min-width: 900px)';
/** What the page leaves free below its content. */
const BELOW_PX = 24;

/** The yard for a screen on the wall, to be read from across the garage. Nothing on it is pressed but STOP ALL. */
export class WallScreen extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [look, markLook, wallLook];
  declare view: View;
  #groups: ZoneProps[] = [];

  /** What the size of the letters was chosen for: it is chosen anew only where there is more to show, or less, or more room. */
  #fitted = '';
  #watch = new ResizeObserver(() => {
    this.#fitted = '';
    this.#fit();
  });

  override updated() {
    this.#fit();
  }

  /** Nobody stands at it to scroll: for either side the largest letters with which all of it is in sight. */
  #fit(): void {
    const main = this.parentElement;
    const { picture, link } = this.view;
    const troubles = lockoutsOf(picture).length + unsureOf(picture).length;
    const runs = [picture.now.length, picture.next.length];
    const shown = [troubles, ...runs, picture.mode, picture.stop.latched, link].join();
    if (!main || shown === this.#fitted) return;
    this.#fitted = shown;
    if (!window.matchMedia(TWO_SIDES).matches) {
      for (const side of this.renderRoot.querySelectorAll<HTMLElement>('.sides > div'))
        side.style.fontSize = '';
      return;
    }
    const leave = this.renderRoot.querySelector('.leave')!.getBoundingClientRect();
    const bottom = main.getBoundingClientRect().bottom + main.scrollTop - 2 * leave.height - BELOW_PX;
    for (const side of this.renderRoot.querySelectorAll<HTMLElement>('.sides > div')) {
      let px = LARGEST_PX;
      do {
        side.style.fontSize = `${px}px`;
        px *= 0.95;
      } while (px >= LEAST_PX && side.getBoundingClientRect().bottom + main.scrollTop > bottom);
    }
  }

  override connectedCallback() {
    super.connectedCallback();
    if (this.parentElement) this.#watch.observe(this.parentElement);
    document.addEventListener('keydown', leave);
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    this.#watch.disconnect();
    document.removeEventListener('keydown', leave);
  }

  override render() {
    const { picture, link } = this.view;
    const old = link === 'lost';
    const unheard = old ? null : unheardText(words, picture);
    return html`<h1 class="unseen">${words.yard.heading}</h1>
      <div class="sides">
        <div>
          ${picture.stop.latched ? this.#stopped(old) : html`<p class="mode">${old ? words.was(words.modes[picture.mode]) : modeText(words, picture)}</p>`}
          ${unheard === null ? nothing : html`<p class="trouble">${unheard}</p>`}
          ${picture.bus.connected && picture.bus.standsDown === null ? nothing : html`<link-card .view=${this.view}></link-card>`}
          ${this.#troubles(old)}
          <h2>${words.yard.nowNext}</h2>
          <now-next .view=${this.view} .most=${lockoutsOf(picture).length > 0 ? 2 : 4}></now-next>
        </div>
        <div>${this.#zones(old)}</div>
      </div>
      <p class="leave"><span class="keys">${words.wall.leave}</span><span class="fingers">${words.wall.back}</span></p>`;
  }

  #stopped(old: boolean) {
    const { picture } = this.view;
    const { answered, silent } = picture.stop;
    const all = answered.length + silent.length;
    const heading = old ? words.was(words.modes.stopped) : words.stopped.heading;
    return html`<section class="stopped">
      <b>${markOf('stopped')}${heading}</b>
      <p>${words.wall.obeyed(answered.length, all)} ${picture.stop.by ?? ''}</p>
    </section>`;
  }

  #troubles(old: boolean) {
    const { picture, nowMs } = this.view;
    const lockouts = lockoutsOf(picture);
    const unsure = unsureOf(picture);
    if (lockouts.length + unsure.length === 0) return html`<p>${old ? nothing : words.yard.noTrouble}</p>`;
    const was = (text: string) => (old ? words.was(text) : text);
    return html`<h2>${words.yard.trouble}</h2>
      <ul>
        ${lockouts.map(({ lead: [, prop] }) => {
          const { code, since } = prop.lockout!;
          const heading =
            code === 'by-hand' ? words.lockout.out(prop.title) : words.lockout.heading(prop.title);
          const clock = words.lockout.since(shortClockOf(since, picture.yard.timezone), nowMs - since);
          return html`<li class="trouble">
            <b>${markOf('locked-out')}${was(heading)}</b> ${words.faults[code]}, ${clock}
          </li>`;
        })}
        ${unsure.map(([, prop]) => html`<li class="trouble"><b>${markOf(prop.state)}${prop.title}</b> ${was(words.states[prop.state])}</li>`)}
      </ul>`;
  }

  #zones(old: boolean) {
    const { picture } = this.view;
    const few = Object.keys(picture.props).length <= NAMED_MOST;
    this.#groups = byZone(picture, this.#groups);
    const zones = this.#groups.map(({ zone, props }) => {
      const well = props.filter(([, prop]) => isWell(prop)).length;
      const count =
        well === props.length ? words.yard.allWell(well) : words.yard.someWell(well, props.length);
      const named = few ? props : props.filter(([, p]) => !isWell(p) || p.state === 'moving');
      return html`<section><p class="zone">
          ${zone === null ? words.yard.noZone(Object.keys(picture.zones).length) : picture.zones[zone]!.title}
          <span>${old ? words.was(count) : count}</span>
        </p>
        <ul>
          ${named.map((one) => this.#prop(one, old))}
        </ul></section>`;
    });
    return html`<div class=${few ? nothing : 'tiles'}>${zones}</div>`;
  }

  #prop([, prop]: NamedProp, old: boolean) {
    const pressed = prop.kind === 'stop-station' && stationPressed(prop);
    const bad = pressed || prop.lockout !== null || !isWell(prop);
    const kind = bad ? 'bad' : prop.state === 'moving' && !old ? 'moves' : '';
    return html`<li class="prop ${kind}">
      ${markOf(pressed ? 'stopped' : prop.state)}
      <span>${prop.title}<small>${stateText(words, prop, old, this.view.picture.stop.latched)}</small></span>
      ${endsOf(prop)}
    </li>`;
  }
}
customElements.define('wall-screen', WallScreen);

function leave(event: KeyboardEvent): void {
  if (event.key === 'Escape') location.hash = '#/yard';
}
