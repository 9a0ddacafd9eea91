/** German words at a field of a form whose content can't be taken. */
export const field: typeof import('../field.ts').field = {
  missing: 'Hier steht noch nichts.',
  noNumber: 'Das ist keine Zahl. Ziffern schreiben, etwa 12.5.',
  noTime: 'Das ist keine Uhrzeit. Stunden und Minuten schreiben, etwa 18:30.',
  noDate: 'Das ist kein Datum.',
  between: (least, most) => `Möglich ist ${least} bis ${most}.`,
  least: (least) => `Möglich ist ${least} oder mehr.`,
  most: (most) => `Möglich ist ${most} oder weniger.`,
  rule: (rule) => `Möglich ist: ${rule}.`,
};
