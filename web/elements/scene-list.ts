import { css, html, LitElement, nothing } from 'lit';
import type { ScenePicture } from '../../server/picture.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask } from './ask.ts';
import { look } from './look.ts';

/** The scenes: how many were made, why one can't run now, and a run by hand. */
export class SceneList extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    css`
      li {
        display: flex;
        gap: 12px;
        align-items: center;
        justify-content: space-between;
        min-height: 60px;
        padding: 6px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      ul {
        padding: 0;
        list-style: none;
      }

      .title {
        font-weight: 600;
      }

      .soft {
        font-size: 15px;
        line-height: 1.3;
      }

      button {
        flex: none;
      }
    `,
  ];
  declare view: View;

  override render() {
    const scenes = Object.entries(this.view.picture.scenes);
    return html`<h2>${words.tonight.scenes}</h2>
      <ul>
        ${scenes.map(([id, scene]) => this.#row(id, scene))}
      </ul>`;
  }

  #row(id: string, scene: ScenePicture) {
    const { me, link, picture } = this.view;
    const running = picture.now.some((run) => run.scene === id);
    const counts = [
      scene.wanted > 0 ? words.tonight.made(scene.made, scene.wanted) : words.tonight.madeOnly(scene.made),
      ...(scene.skipped > 0 ? [words.tonight.skipped(scene.skipped)] : []),
      ...(running && scene.why === null ? [words.fates.running] : []),
    ].join(', ');
    return html`<li>
      <div>
        <p class="title">${scene.title}</p>
        <p class="soft">${link === 'lost' ? words.was(counts) : counts}</p>
        ${scene.why === null ? nothing : html`<p class="soft">${scene.why}</p>`}
      </div>
      ${
        me && picture.mode === 'open'
          ? html`<button
            aria-label=${words.tonight.runOf(scene.title)}
            ?disabled=${link === 'lost' || running || scene.why !== null}
            @click=${() => ask(this, { do: 'run', scene: id })}
          >
            ${words.tonight.run}
          </button>`
          : nothing
      }
    </li>`;
  }
}
customElements.define('scene-list', SceneList);
