import { css, html, LitElement, nothing } from 'lit';
import { isSecure } from '../install.ts';
import { LIGHT_CHOICES, type LightChoice } from '../light.ts';
import { sensorText } from '../prop-text.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask, tell } from './ask.ts';
import { look } from './look.ts';
import './red-button-said.ts';

/** Who is signed in, how another phone joins, the light, where the red button is, and what this is not. */
export class SetUpScreen extends LitElement {
  static override properties = {
    view: { attribute: false },
    light: { attribute: false },
    addresses: { attribute: false },
  };
  static override styles = [
    look,
    css`
      section {
        margin-bottom: 24px;
      }

      .qr {
        display: block;
        width: 180px;
        height: 180px;
        margin-top: 10px;
        border: 10px solid #fff;
        background: #fff;
      }

      .address {
        font-size: 20px;
        font-weight: 600;
        overflow-wrap: anywhere;
        user-select: all;
      }

      li {
        padding: 3px 0;
      }

      ul {
        padding-left: 20px;
      }

      fieldset {
        display: flex;
        flex-wrap: wrap;
        gap: 0 24px;
        margin: 0;
        padding: 0;
        border: 0;
      }

      .ways {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(10.5rem, 1fr));
        align-items: stretch;
        text-align: center;
      }

      .ways .button {
        padding: 8px 6px;
      }

      .said {
        margin-top: 10px;
      }

      .stations {
        margin-top: 10px;
        font-weight: 600;
      }

      @media (min-width: 900px) {
        .sides {
          display: grid;
          grid-template-columns: 1fr 1fr;
          gap: 0 40px;
          align-items: start;
        }
      }
    `,
  ];
  declare view: View;
  declare light: LightChoice;
  /** Under which a phone reaches the page, likeliest first; null while not known. */
  declare addresses: string[] | null;

  override connectedCallback() {
    super.connectedCallback();
    tell(this, 'want-join');
  }

  override render() {
    return html`<h1>${words.setup.heading}</h1>
      <div class="sides">
        <div>${this.#person()} ${this.#yard()} ${this.#light()} ${this.#join()} ${this.#own()}</div>
        <div>${this.#red()} ${this.#not()}</div>
      </div>`;
  }

  #person() {
    const { me } = this.view;
    return html`<section>
      <h2>${words.setup.person}</h2>
      ${
        me
          ? html`<p>${words.signIn.as(me.name, words.signIn.roles[me.role])}</p>
            <p class="acts"><button @click=${() => ask(this, { do: 'sign-out' })}>${words.signIn.out}</button></p>`
          : html`<p class="acts"><a class="button" href="#/sign-in">${words.signIn.act}</a></p>`
      }
    </section>`;
  }

  #yard() {
    return html`<section>
      <h2>${words.setup.yard}</h2>
      <p class="acts ways">
        <a class="button" href="#/setup/file">${words.setup.file}</a>
        <a class="button" href="#/setup/first-file">${words.setup.first}</a>
        <a class="button" href="#/setup/people">${words.setup.people}</a>
        <a class="button" href="#/setup/notices">${words.setup.notices}</a>
        <a class="button" href="#/setup/backup">${words.setup.backup}</a>
      </p>
    </section>`;
  }

  #light() {
    return html`<section>
      <h2 id="light">${words.setup.light}</h2>
      <fieldset aria-labelledby="light">
        ${LIGHT_CHOICES.map(
          (choice) =>
            html`<label
              ><input
                type="radio"
                name="light"
                .checked=${this.light === choice}
                @change=${() => tell(this, 'light', choice)}
              />${words.lights[choice]}</label
            >`,
        )}
      </fieldset>
    </section>`;
  }

  #join() {
    const first = this.addresses?.[0];
    return html`<section>
      <h2>${words.setup.join}</h2>
      ${
        first === undefined
          ? html`<p>${words.setup.joinLocal}</p>`
          : html`<p>${words.setup.joinText}</p>
            ${this.addresses!.map((address) => html`<p class="address">${address}</p>`)}
            <img class="qr" src="/api/join.svg" alt=${words.setup.qr(first)} />`
      }
      <p class="soft">${isSecure() ? words.setup.secure : words.setup.extras}</p>
    </section>`;
  }

  #own() {
    if (!this.view.picture.yard.demonstration) return nothing;
    return html`<section>
      <h2>${words.setup.own}</h2>
      <p>${words.setup.ownText}</p>
      <p class="acts">
        <a class="button" href="#/setup/first-file">${words.setup.first}</a>
        <a class="button" href="#/setup/file">${words.setup.ownFile}</a>
      </p>
    </section>`;
  }

  #red() {
    const { picture, link } = this.view;
    const stations = Object.values(picture.props).filter((prop) => prop.kind === 'stop-station');
    return html`<section>
      <h2>${words.setup.red}</h2>
      <p>${words.setup.redText}</p>
      <red-button-said class="said" .said=${this.view.redButton}></red-button-said>
      <p class="acts">
        <a class="button" href="#/setup/red-button"
          >${this.view.redButton ? words.redButton.change : words.redButton.say}</a
        >
      </p>
      ${
        stations.length === 0
          ? html`<p class="soft">${words.setup.noStations}</p>`
          : html`<p class="stations">${words.setup.stations}</p>
            <ul>
              ${stations.map((station) => {
                const button = Object.hasOwn(station.sensors, 'button') ? station.sensors.button : undefined;
                const text = button ? sensorText(words, station, button) : words.prop.notKnown;
                return html`<li>${station.title}: ${link === 'lost' ? words.was(text) : text}</li>`;
              })}
            </ul>`
      }
    </section>`;
  }

  #not() {
    return html`<section>
      <h2>${words.setup.not}</h2>
      <ul>
        ${words.setup.notList.map((line) => html`<li>${line}</li>`)}
      </ul>
    </section>`;
  }
}
customElements.define('set-up-screen', SetUpScreen);
