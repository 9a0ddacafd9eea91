import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';

interface Media {
  schema: object;
}
interface Operation {
  responses: Record<string, { content?: Record<string, Media> }>;
}
export interface Document {
  openapi: string;
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, object>; securitySchemes: object };
}

/**
 * Holds real answers against the OpenAPI document, as a caller who trusts the document would meet them: the status
 * must be among those told for the call, the content type among those of the status, and the body fit its schema.
 */
export class Documented {
  readonly document: Document;
  private readonly ajv = new Ajv2020({ strict: false, allErrors: true });
  private readonly compiled = new Map<string, ValidateFunction>();

  constructor(document: Document) {
    this.document = document;
    this.ajv.addSchema({ $id: 'api', components: document.components });
  }

  /** Compiles a schema of the document; its references lead into the document's components. */
  compile(schema: object): ValidateFunction {
    const text = JSON.stringify(schema).replaceAll('"#/components/', '"api#/components/');
    const known = this.compiled.get(text) ?? this.ajv.compile(JSON.parse(text));
    this.compiled.set(text, known);
    return known;
  }

  /** What is wrong with an answer; null where nothing is, or where the call is none of the document's. */
  wrong(method: string, target: string, status: number, type: string, body: unknown): string | null {
    const operation = this.operation(method, target);
    if (!operation) return null;
    const where = `${method} ${target} ${status} ${type}`;
    const told = operation.responses[String(status)];
    if (!told) return `${where}: this status is not told`;
    const bare = type.split(';')[0] ?? '';
    if (!told.content) return bare === '' ? null : `${where}: no content is told`;
    const media = told.content[bare];
    if (!media) return `${where}: this type is not told`;
    if (!/json/.test(bare)) return null;
    const check = this.compile(media.schema);
    return check(body) ? null : `${where}: ${this.ajv.errorsText(check.errors)}\n${JSON.stringify(body)}`;
  }

  private operation(method: string, target: string): Operation | undefined {
    const path = target.split('?')[0] ?? '';
    const found = Object.keys(this.document.paths).find((p) =>
      new RegExp(`^${p.replaceAll('.', '\\.').replace(/\{\w+\}/g, '[^/]+')}$`).test(path),
    );
    return found === undefined ? undefined : this.document.paths[found]?.[method.toLowerCase()];
  }
}
