import { html } from 'lit';
import { words } from '../words.ts';

/** In place of what only a keeper may do: the way to sign in, and why. */
export const keeperOnly = (why: string) =>
  html`<p class="acts"><a class="button" href="#/sign-in">${words.signIn.act}</a> <span class="soft">${why} ${words.signIn.keeper}</span></p>`;
