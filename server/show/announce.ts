import type { Turn } from './turn.ts';

const ANNOUNCE_EVERY_MS = 1000;

/** Asks every board who it is and what its sensors say now, at most once a second. */
export function announceSoon(turn: Turn): void {
  const { show, at } = turn;
  if (!show.desk.connected || show.desk.standsDown || at < show.desk.announceAfter) return;
  show.desk = { ...show.desk, announceAfter: at + ANNOUNCE_EVERY_MS };
  turn.do({ kind: 'announce' });
}
