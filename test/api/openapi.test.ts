import { readdirSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Document } from './documented.ts';
import { TestYard } from './harness.ts';
import { ScriptedDemo } from './scripted-demo.ts';

let yard: TestYard;
let document: Document;
beforeAll(async () => {
  yard = await TestYard.start({ demonstration: new ScriptedDemo() });
  document = (await yard.get('/api/openapi.json')).json;
});
afterAll(() => yard.end());

/** The table of calls as the project promises it: method, path, who may. Kept apart from the code that makes the calls. */
const PROMISED = [
  ['get', '/healthz', 'any'],
  ['get', '/readyz', 'any'],
  ['get', '/metrics', 'any'],
  ['get', '/api/yard', 'any'],
  ['get', '/api/plan', 'any'],
  ['get', '/api/plan/curves', 'any'],
  ['get', '/api/journal', 'any'],
  ['get', '/api/props/{prop}/travels', 'any'],
  ['get', '/api/nights', 'any'],
  ['get', '/api/nights/{date}/report', 'any'],
  ['get', '/api/nights/{date}/told', 'any'],
  ['get', '/api/nights/{date}/course', 'any'],
  ['get', '/api/past', 'any'],
  ['get', '/api/props/{prop}/story', 'any'],
  ['post', '/api/stop', 'any'],
  ['post', '/api/stop/clear', 'keeper'],
  ['post', '/api/session', 'any'],
  ['get', '/api/session', 'any'],
  ['delete', '/api/session', 'any'],
  ['post', '/api/open', 'helper'],
  ['post', '/api/hold', 'helper'],
  ['post', '/api/close', 'helper'],
  ['post', '/api/scenes/{scene}/run', 'helper'],
  ['post', '/api/props/{prop}/lockout', 'helper'],
  ['post', '/api/props/{prop}/release', 'keeper'],
  ['post', '/api/props/{prop}/acknowledge', 'helper'],
  ['post', '/api/props/{prop}/bench', 'keeper'],
  ['get', '/api/file', 'keeper'],
  ['post', '/api/file/check', 'keeper'],
  ['put', '/api/file', 'keeper'],
  ['get', '/api/strangers', 'keeper'],
  ['get', '/api/notices', 'keeper'],
  ['put', '/api/notices', 'keeper'],
  ['post', '/api/notices/trial', 'keeper'],
  ['get', '/api/red-button', 'any'],
  ['put', '/api/red-button', 'keeper'],
  ['get', '/api/backup', 'keeper'],
  ['post', '/api/restore/check', 'keeper'],
  ['post', '/api/restore', 'keeper'],
  ['post', '/api/restart', 'keeper'],
  ['get', '/api/people', 'keeper'],
  ['post', '/api/people', 'keeper'],
  ['delete', '/api/people/{name}', 'keeper'],
  ['put', '/api/people/{name}/pin', 'helper'],
  ['get', '/api/openapi.json', 'any'],
  ['get', '/api/asyncapi.json', 'any'],
  ['get', '/api/join', 'any'],
  ['get', '/api/join.svg', 'any'],
  ['get', '/api/demo', 'any'],
  ['post', '/api/demo/fault', 'any'],
  ['post', '/api/demo/press', 'any'],
  ['post', '/api/demo/run', 'any'],
  ['post', '/api/demo/keeper', 'any'],
  ['post', '/api/demo/reset', 'any'],
] as const;

const operations = () =>
  Object.entries(document.paths).flatMap(([path, item]) =>
    // biome-ignore lint/suspicious/noExplicitAny: a document read as it is
    Object.entries(item).map(([method, operation]) => ({ path, method, operation: operation as any })),
  );

describe('the OpenAPI document', () => {
  it('has every call that is promised, and no other', () => {
    const told = operations().map(({ method, path }) => `${method} ${path}`);
    expect(told.sort()).toEqual(PROMISED.map(([method, path]) => `${method} ${path}`).sort());
  });

  it.each(PROMISED)('%s %s is there, for %s', async (method, path, who) => {
    const target = path
      .replace('{prop}', 'ferry')
      .replace('{scene}', 'crossing')
      .replace('{date}', '2026-10-31')
      .replace('{name}', 'Ada');
    const said = await yard.send(method.toUpperCase(), target);
    expect(said.status).not.toBe(405);
    if (who === 'any') expect(said.status).not.toBe(401);
    else expect(said.status).toBe(401);
    const { operation } = operations().find((o) => o.method === method && o.path === path)!;
    expect(operation.security).toEqual(who === 'any' ? [] : [{ session: [] }]);
  });

  it('says 3.1, and names each operation once', () => {
    expect(document.openapi).toMatch(/^3\.1\.\d+$/);
    const ids = operations().map(({ operation }) => operation.operationId);
    expect(new Set(ids).size).toBe(ids.length);
    for (const id of ids) expect(id).toMatch(/^[a-z][A-Za-z]+$/);
    expect(document.components.securitySchemes).toEqual({
      session: { type: 'apiKey', in: 'cookie', name: `dusklatch-${yard.api.port}` },
    });
  });

  it('has the parameters that its paths have (OpenAPI 3.1.0 section 4.8.8.2)', () => {
    for (const { path, operation } of operations()) {
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map((m) => m[1]);
      const told = (operation.parameters ?? []).filter((p: { in: string }) => p.in === 'path');
      expect(told.map((p: { name: string }) => p.name)).toEqual(inPath);
      for (const p of told) expect(p.required).toBe(true);
    }
  });

  it('has only schemas of JSON Schema 2020-12 whose references lead somewhere', () => {
    const { documented } = yard;
    const schemas = operations().flatMap(({ operation }) => [
      ...Object.values(operation.requestBody?.content ?? {}),
      ...Object.values(operation.responses).flatMap((r) =>
        Object.values((r as { content?: object }).content ?? {}),
      ),
      ...(operation.parameters ?? []),
    ]);
    expect(schemas.length).toBeGreaterThan(100);
    for (const { schema } of schemas as { schema: object }[])
      expect(() => documented!.compile(schema)).not.toThrow();
    for (const schema of Object.values(document.components.schemas))
      expect(() => documented!.compile(schema)).not.toThrow();
  });

  it('describes bodies so that what it allows is taken, and what it forbids is not', async () => {
    const schemaOf = (path: string) => {
      const { operation } = operations().find((o) => o.path === path && o.method === 'post')!;
      return yard.documented!.compile(operation.requestBody.content['application/json'].schema);
    };
    const keeper = await yard.keeper();
    const bodies: [string, object][] = [
      ['/api/hold', {}],
      ['/api/open', { plan: false }],
      ['/api/open', { plan: 'no' }],
      ['/api/open', { for: 7 }],
      ['/api/open', { until: '22:00' }],
      ['/api/props/{prop}/lockout', { why: 'Rope frayed.' }],
      ['/api/props/{prop}/lockout', { why: '' }],
      ['/api/props/{prop}/lockout', {}],
      ['/api/props/{prop}/bench', { move: 'out', press: 'p' }],
      ['/api/props/{prop}/bench', { press: 'p', up: true }],
      ['/api/props/{prop}/bench', { press: 'p' }],
      ['/api/props/{prop}/bench', { move: 'out', up: true }],
    ];
    for (const [path, more] of bodies) {
      const body = yard.fresh(more);
      const said = await yard.post(path.replace('{prop}', 'ferry'), body, keeper);
      expect([path, more, said.status === 422]).toEqual([path, more, !schemaOf(path)(body)]);
    }
  });

  it('without a demonstration tells of none', async () => {
    const earnest = await TestYard.start();
    try {
      const paths = Object.keys((await earnest.get('/api/openapi.json')).json.paths);
      expect(paths).not.toContain('/api/demo/fault');
      expect(paths).toHaveLength(
        Object.keys(document.paths).filter((path) => !path.startsWith('/api/demo')).length,
      );
    } finally {
      await earnest.end();
    }
  });
});

describe('the description of the bus', () => {
  it('is what was handed in', async () => {
    expect((await yard.get('/api/asyncapi.json')).json).toEqual({
      asyncapi: '3.0.0',
      info: { title: 'Bus', version: '1' },
    });
  });
});

describe('the sentences', () => {
  it('are all used', () => {
    const folder = new URL('../../server/api/', import.meta.url);
    const files = readdirSync(folder).filter((f) => f.endsWith('.ts') && f !== 'sentences.ts');
    const code = files.map((f) => readFileSync(new URL(f, folder), 'utf8')).join('\n');
    const listed = readFileSync(new URL('sentences.ts', folder), 'utf8');
    const codes = [...listed.matchAll(/^ {2}'?([a-z-]+)'?:/gm)].map((m) => m[1]!);
    expect(codes.length).toBeGreaterThan(20);
    expect(codes.filter((c) => !new RegExp(`['.]${c}\\b`).test(code))).toEqual([]);
  });
});
