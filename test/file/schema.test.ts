import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { schemaText } from '../../server/file/write-schema.ts';
import { errorsIn, LANDING, landing } from './landing.ts';

const CHECKED_IN = readFileSync(new URL('../../config/yard.schema.json', import.meta.url), 'utf8');
// Validated by ajv, a JSON Schema implementation apart from the one that generated it.
const validate = new Ajv2020({ strict: true, allErrors: true }).compile(JSON.parse(CHECKED_IN));

const config = (name: string): string =>
  readFileSync(new URL(`../../config/${name}.yaml`, import.meta.url), 'utf8');

describe('the JSON Schema for editors', () => {
  it('is the one that the zod schema gives (else: npm run schema)', () => {
    expect(CHECKED_IN).toBe(schemaText());
  });

  it.each([
    ['the landing', LANDING],
    ['Saltmarsh Landing', config('saltmarsh')],
    ['the ferry', config('ferry')],
  ])('takes %s', (_, text) => {
    expect(validate(parse(text)) ? [] : validate.errors).toEqual([]);
  });

  it.each([
    ['a bare number', ['limit: 12 s', 'limit: 7']],
    ['another dimension', ['limit: 12 s', 'limit: 7 A']],
    ['an unknown key', ['    rest: 30 s', '    rest: 30 s\n    colour: green']],
    ['a missing key', ['    title: Ferryman\n', '']],
    ['a name that is none', ['  bell: {title', '  Bell: {title']],
    ['a need that is none', ['[ferry.far]', '[ferry at far]']],
    ['a clock that is none', ['close: "22:30"', 'close: "7 pm"']],
    ['a step that is none', ['      - wait: 2 s', '      - pause: 2 s']],
    ['a zone that lets nothing in', ['at-most: 1', 'at-most: 0']],
    ['a root with a wildcard', ['root: yard', 'root: yard/#']],
  ] as const)('and refuses %s, as the reader does', (_, change) => {
    const text = landing(change);
    expect(validate(parse(text))).toBe(false);
    expect(errorsIn(text)).not.toEqual([]);
  });

  it('describes every key', () => {
    const bare: string[] = [];
    const walk = (node: unknown, path: string): void => {
      if (typeof node !== 'object' || node === null) return;
      const schema = node as Record<string, unknown>;
      const properties = schema.properties as Record<string, Record<string, unknown>> | undefined;
      for (const [key, value] of Object.entries(properties ?? {})) {
        if (value.description === undefined && value.anyOf === undefined) bare.push(`${path}.${key}`);
      }
      for (const [key, value] of Object.entries(schema)) walk(value, `${path}.${key}`);
    };
    walk(JSON.parse(CHECKED_IN), '');
    expect(bare).toEqual([]);
  });
});
