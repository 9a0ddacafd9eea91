/** English words at a field of a form whose content can't be taken. */
export const field = {
  missing: 'Nothing is written here yet.',
  noNumber: 'This is no number. Write digits, as 12.5.',
  noTime: 'This is no time. Write hours and minutes, as 18:30.',
  noDate: 'This is no date.',
  between: (least: string, most: string) => `It goes from ${least} to ${most}.`,
  least: (least: string) => `It is ${least} at least.`,
  most: (most: string) => `It is ${most} at most.`,
  /** `rule`: what the field wants, as its own form says it. */
  rule: (rule: string) => `It takes ${rule}.`,
};
