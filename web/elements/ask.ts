import type { Command } from '../commands.ts';
import type { Me } from '../store.ts';

/** Sends a command up to the page. */
export function ask(from: EventTarget, command: Command): void {
  tell(from, 'command', command);
}

/** Any other word to the page, through every shadow in between. */
export function tell(from: EventTarget, name: string, detail?: unknown): void {
  from.dispatchEvent(new CustomEvent(name, { detail, bubbles: true, composed: true }));
}

export function isKeeper(me: Me | null): boolean {
  return me?.role === 'keeper';
}
