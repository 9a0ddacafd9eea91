import { afterEach, describe, expect, it } from 'vitest';
import { type Field, wrongWith } from '../../web/field.ts';
import { speak } from '../../web/words.ts';

const field = (more: Partial<Field> = {}): Field => ({
  type: 'text',
  value: 'x',
  required: false,
  min: '',
  max: '',
  title: '',
  dataset: {},
  validity: {},
  ...more,
});

describe('what is wrong with a field', () => {
  afterEach(() => speak('en'));

  // the names of the flags are those of ValidityState in the HTML standard, constraint validation
  it.each([
    ['nothing', field(), ''],
    ['an empty one that may be so', field({ value: '' }), ''],
    ['an empty one', field({ value: '', required: true }), 'Nothing is written here yet.'],
    ['spaces alone', field({ value: '  ', required: true }), 'Nothing is written here yet.'],
    [
      'a minus alone',
      field({ type: 'number', value: '', required: true, validity: { badInput: true } }),
      'This is no number. Write digits, as 12.5.',
    ],
    [
      'half a time',
      field({ type: 'time', value: '', required: true, validity: { badInput: true } }),
      'This is no time. Write hours and minutes, as 18:30.',
    ],
    [
      'too many degrees',
      field({ type: 'number', min: '-90', max: '90', validity: { rangeOverflow: true } }),
      'It goes from -90 to 90.',
    ],
    [
      'too little',
      field({ type: 'number', min: '1', validity: { rangeUnderflow: true } }),
      'It is 1 at least.',
    ],
    ['too much', field({ type: 'number', max: '9', validity: { rangeOverflow: true } }), 'It is 9 at most.'],
    [
      'a pattern',
      field({ title: '4 to 12 digits', validity: { patternMismatch: true } }),
      'It takes 4 to 12 digits.',
    ],
    ['what the form alone knows', field({ dataset: { wrong: 'Twice.' } }), 'Twice.'],
    [
      'an empty one before what the form knows',
      field({ value: '', required: true, dataset: { wrong: 'Twice.' } }),
      'Nothing is written here yet.',
    ],
  ])('%s', (_, one, text) => {
    expect(wrongWith(one)).toBe(text);
  });

  it('is said in the language of the page', async () => {
    await speak('de');
    expect(wrongWith(field({ value: '', required: true }))).toBe('Hier steht noch nichts.');
  });
});
