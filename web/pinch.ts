/** Where something lies, CSS pixels, in the page as it is laid out. */
interface Box {
  readonly left: number;
  readonly bottom: number;
  readonly width: number;
}

/** The part of the page that is seen; fingers spread on it make it smaller than the page. */
export interface Seen {
  readonly offsetLeft: number;
  readonly offsetTop: number;
  readonly width: number;
  readonly height: number;
  readonly scale: number;
}

/** How far a bar is moved and drawn smaller, from its lower left corner. */
export interface Moved {
  readonly x: number;
  readonly y: number;
  readonly by: number;
}

/** Below the bar, as on the page: swipes from the edge of the phone must not meet it. */
const GAP_PX = 14;
/** Browsers tell a scale a little off 1 while nothing is drawn large. */
const DRAWN_LARGE = 1.01;

/** The bar across the foot of what is seen, as large to the eye as ever; null where all of the page is seen. */
export function barIn(seen: Seen, bar: Box): Moved | null {
  if (seen.scale <= DRAWN_LARGE || bar.width === 0) return null;
  const by = seen.width / bar.width;
  return {
    x: seen.offsetLeft - bar.left,
    y: seen.offsetTop + seen.height - GAP_PX * by - bar.bottom,
    by,
  };
}

/** Keeps the stop bar in sight where two fingers draw the page large: laid out with the page, it would lie outside. */
export function followPinch(bar: HTMLElement): void {
  const seen = window.visualViewport;
  if (!seen) return;
  const place = () => {
    const { style } = bar;
    style.transform = '';
    const moved = barIn(seen, bar.getBoundingClientRect());
    style.transform = moved ? `translate(${moved.x}px, ${moved.y}px) scale(${moved.by})` : '';
    bar.toggleAttribute('data-follows', moved !== null);
  };
  seen.addEventListener('resize', place);
  seen.addEventListener('scroll', place);
}
