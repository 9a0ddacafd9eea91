/** Names of things in a row: `a`, `a und b`, `a, b und 3 weitere`. */
export function listed(names: readonly string[]): string {
  if (names.length < 2) return names[0] ?? '';
  if (names.length === 2) return `${names[0]} und ${names[1]}`;
  const [first, second, ...rest] = names;
  return rest.length === 1
    ? `${first}, ${second} und ${rest[0]}`
    : `${first}, ${second} und ${rest.length} weitere`;
}
