import { words } from './words.ts';

/** What is looked at of an `<input>`. `title` says the rule of its pattern; `data-wrong` what only its form can know. */
export interface Field {
  readonly type: string;
  readonly value: string;
  readonly required: boolean;
  readonly min: string;
  readonly max: string;
  readonly title: string;
  readonly dataset: Readonly<Record<string, string | undefined>>;
  readonly validity: Partial<ValidityState>;
}

/** What is wrong with a field, in words of our own and of the page's language; empty where nothing is. */
export function wrongWith({ type, value, required, min, max, title, dataset, validity }: Field): string {
  const { field } = words;
  if (validity.badInput)
    return type === 'number' ? field.noNumber : type === 'time' ? field.noTime : field.noDate;
  if (required && value.trim() === '') return field.missing;
  if (validity.rangeUnderflow || validity.rangeOverflow) {
    if (min !== '' && max !== '') return field.between(min, max);
    return min !== '' ? field.least(min) : field.most(max);
  }
  if (validity.patternMismatch || validity.typeMismatch) return field.rule(title);
  return dataset.wrong ?? '';
}
