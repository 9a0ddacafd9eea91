import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { z } from 'zod';
import { yardFile } from './schema.ts';

/** The JSON Schema (draft 2020-12) of the yard file for editors, as text: what may be written, before any default. */
export function schemaText(): string {
  const schema = z.toJSONSchema(yardFile, { io: 'input', target: 'draft-2020-12' });
  return `${JSON.stringify(schema, null, 2)}\n`;
}

/** Run by `npm run schema` from dist/server/file/; the checked-in file lies in config/ at the top. */
if (process.argv[1] && resolve(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const to = resolve(dirname(fileURLToPath(import.meta.url)), '../../../config/yard.schema.json');
  mkdirSync(dirname(to), { recursive: true });
  writeFileSync(to, schemaText());
  console.log(`wrote ${to}`);
}
