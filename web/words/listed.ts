/** Names of things in a row: `a`, `a and b`, `a, b and 3 more`. */
export function listed(names: readonly string[]): string {
  if (names.length < 2) return names[0] ?? '';
  if (names.length === 2) return `${names[0]} and ${names[1]}`;
  const [first, second, ...rest] = names;
  return rest.length === 1
    ? `${first}, ${second} and ${rest[0]}`
    : `${first}, ${second} and ${rest.length} more`;
}
