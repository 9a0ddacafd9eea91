import { html, LitElement } from 'lit';
import type { SetUpPart } from '../route.ts';
import type { SetUpState } from '../set-up.ts';
import { dateOf } from '../time.ts';
import type { View } from '../view.ts';
import { isKeeper } from './ask.ts';
import './backup-screen.ts';
import './file-screen.ts';
import './first-file-screen.ts';
import './notices-screen.ts';
import './people-screen.ts';
import './red-button-screen.ts';

/** One of the screens behind Set up. */
export class SetUpPartOf extends LitElement {
  static override properties = {
    which: { attribute: false },
    view: { attribute: false },
    state: { attribute: false },
    live: { attribute: false },
  };
  declare which: SetUpPart;
  declare view: View;
  declare state: SetUpState;
  declare live: boolean;

  override render() {
    const { live } = this;
    const { me, redButton, nowMs, picture } = this.view;
    const { file, draft, people, pinOf, backup, first, notices } = this.state;
    switch (this.which) {
      case 'file':
        return html`<file-screen
          .file=${file}
          .draft=${draft}
          .picture=${picture}
          .keeper=${isKeeper(me)}
          .live=${live}
        ></file-screen>`;
      case 'people':
        return html`<people-screen .me=${me} .people=${people} .pinOf=${pinOf} .live=${live}></people-screen>`;
      case 'backup':
        return html`<backup-screen .backup=${backup} .view=${this.view} .live=${live}></backup-screen>`;
      case 'first-file':
        return html`<first-file-screen .first=${first} .view=${this.view} .live=${live}></first-file-screen>`;
      case 'notices':
        return html`<notices-screen .notices=${notices} .view=${this.view} .live=${live}></notices-screen>`;
      case 'red-button':
        return html`<red-button-screen
          .said=${redButton ?? null}
          .me=${me}
          .live=${live}
          .today=${dateOf(nowMs, picture.yard.timezone)}
        ></red-button-screen>`;
    }
  }
}
customElements.define('set-up-part', SetUpPartOf);
