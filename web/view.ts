import type { Curves } from '../server/curves.ts';
import type { Picture, PropPicture } from '../server/picture.ts';
import type { RedButtonSaid } from '../server/red-button.ts';
import type { FatedPlan, LinkState, Me } from './store.ts';
import type { TourView } from './tour.ts';

/** What goes down to every element: the picture, the yard's time now, and whether it may be believed. */
export interface View {
  readonly picture: Picture;
  /** The desk's clock as the page reckons it, ms since 1970. */
  readonly nowMs: number;
  readonly link: LinkState;
  readonly me: Me | null;
  readonly plan: FatedPlan | null;
  /** Loads and pressures through the night; null while not read. */
  readonly curves: Curves | null;
  /** What people said of the hard-wired red button; null where nobody has, undefined while not read. */
  readonly redButton: RedButtonSaid | null | undefined;
  /** Where a visitor of the demonstration is; null in earnest. */
  readonly tour: TourView | null;
  /** The bench move under someone's finger on this page. */
  readonly bench: { readonly prop: string; readonly move: string } | null;
  /** Shown as it was at a moment that is over: nothing in it can be pressed. */
  readonly past: boolean;
}

export type NamedProp = readonly [id: string, prop: PropPicture];

export function isWell(prop: PropPicture): boolean {
  return prop.state === 'ready' || prop.state === 'moving' || prop.state === 'resting';
}

/** The title of a prop or a scene; its id where the file has it no more. */
export function titleOf(of: Readonly<Record<string, { title: string }>>, id: string): string {
  return Object.hasOwn(of, id) ? of[id]!.title : id;
}

/** Whether its board is heard now; without a bus none is. */
export function isLive(picture: Picture, prop: PropPicture): boolean {
  return prop.live && picture.bus.connected;
}

/** Whether what is shown of it goes on with the clock. */
export function ticks(prop: PropPicture): boolean {
  return prop.move !== null || prop.state === 'silent';
}

/** How many of all props and red buttons are well. */
export function wellOf(picture: Picture): { well: number; all: number } {
  const props = Object.values(picture.props);
  return { well: props.filter(isWell).length, all: props.length };
}

/** What nobody has acknowledged comes first. */
function order(prop: PropPicture): number {
  return prop.lockout!.acknowledged ? 1 : 0;
}

/** Lockouts that lead, not yet acknowledged and newest first, each with those that only follow it. */
export function lockoutsOf(picture: Picture): { lead: NamedProp; followers: NamedProp[] }[] {
  const locked = Object.entries(picture.props).filter(([, prop]) => prop.lockout);
  const ids = new Set(locked.map(([id]) => id));
  const follows = (prop: PropPicture): string | null => {
    const first = prop.lockout?.first ?? null;
    return first !== null && ids.has(first) ? first : null;
  };
  return locked
    .filter(([, prop]) => follows(prop) === null)
    .sort(([, a], [, b]) => order(a) - order(b) || b.lockout!.since - a.lockout!.since)
    .map((lead) => ({ lead, followers: locked.filter(([, prop]) => follows(prop) === lead[0]) }));
}

/**
 * Props in trouble without a lockout: they don't answer, or nobody knows where they stand. Without a bus none answers,
 * and that is one trouble and not many: the bus leads and they are not listed.
 */
export function unsureOf(picture: Picture): NamedProp[] {
  if (!picture.bus.connected) return [];
  return Object.entries(picture.props).filter(([, prop]) => !prop.lockout && !isWell(prop));
}

export interface ZoneProps {
  readonly zone: string | null;
  readonly props: NamedProp[];
}

/**
 * Props by zone in the order of the file; those of no zone last, under null. A zone in which nothing changed since
 * `before` is the very same object, so that it need not be drawn again.
 */
export function byZone(picture: Picture, before: readonly ZoneProps[] = []): ZoneProps[] {
  const had = new Map(before.map((group) => [group.zone, group]));
  return grouped(picture).map((group) => {
    const old = had.get(group.zone);
    const same =
      old?.props.length === group.props.length &&
      old.props.every(([id, prop], n) => id === group.props[n]![0] && prop === group.props[n]![1]);
    return same ? old : group;
  });
}

function grouped(picture: Picture): ZoneProps[] {
  const groups = new Map<string | null, NamedProp[]>();
  for (const id of Object.keys(picture.zones)) groups.set(id, []);
  groups.set(null, []);
  for (const named of Object.entries(picture.props)) {
    const zone = named[1].zone !== null && groups.has(named[1].zone) ? named[1].zone : null;
    groups.get(zone)!.push(named);
  }
  return [...groups].filter(([, props]) => props.length > 0).map(([zone, props]) => ({ zone, props }));
}

/** Titles of the props a controller drives, as people know it; its id where it drives none. */
export function controllerTitles(picture: Picture, controller: string): string[] {
  const titles = Object.values(picture.props)
    .filter((prop) => prop.controller === controller)
    .map((prop) => prop.title);
  return titles.length > 0 ? titles : [controller];
}
