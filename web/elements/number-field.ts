/** What is chosen or typed in a field. */
export function chosenIn(event: Event): string {
  return (event.target as HTMLInputElement | HTMLSelectElement).value;
}

/**
 * Takes the number typed in a field; NaN for an empty one. What is no number yet, as the minus before its first digit,
 * is left standing: drawn anew from what was known before, it would vanish under the fingers.
 */
export function numberIn(event: Event, take: (value: number) => void): void {
  const { value, validity } = event.target as HTMLInputElement;
  if (!validity.badInput) take(value === '' ? Number.NaN : Number(value));
}

/** A number as its field shows it. */
export function shownNumber(value: number): string {
  return Number.isNaN(value) ? '' : String(value);
}
