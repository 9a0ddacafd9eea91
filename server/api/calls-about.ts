import { z } from 'zod';
import { type Call, call, json } from './call.ts';
import { problem } from './problem.ts';
import { qrSvg } from './qr.ts';
import { joinQuery } from './schemas.ts';

export interface AboutParts {
  /** Addresses under which a phone reaches the page; none where only this computer does. */
  readonly addresses: () => readonly string[];
  readonly openapi: () => unknown;
  /** Null where nothing describes the bus. */
  readonly asyncapi: (() => unknown) | null;
}

/** The two documents, and how a phone joins. */
export function aboutCalls(parts: AboutParts): Call[] {
  return [...documentCalls(parts), ...joinCalls(parts)];
}

function documentCalls({ openapi, asyncapi }: AboutParts): Call[] {
  const document = z.looseObject({ info: z.looseObject({ title: z.string() }) });
  return [
    call({
      method: 'get',
      path: '/api/openapi.json',
      who: 'any',
      does: 'This document.',
      says: { 200: { what: 'OpenAPI 3.1.', schema: document } },
      run: () => json(200, openapi()),
    }),
    call({
      method: 'get',
      path: '/api/asyncapi.json',
      who: 'any',
      does: 'The bus, described.',
      says: { 200: { what: 'AsyncAPI.', schema: document }, 404: { what: 'Not at hand.' } },
      run() {
        if (!asyncapi) throw problem(404, 'no-bus-document');
        return json(200, asyncapi());
      },
    }),
  ];
}

function joinCalls({ addresses }: AboutParts): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/join',
      who: 'any',
      does: 'The addresses under which a phone on this network reaches the page.',
      says: {
        200: {
          what: 'Addresses, likeliest first.',
          schema: z.strictObject({ addresses: z.array(z.string()) }),
        },
      },
      run: () => json(200, { addresses: addresses() }),
    }),
    call({
      method: 'get',
      path: '/api/join.svg',
      who: 'any',
      does: 'One of those addresses as a QR code.',
      query: joinQuery,
      says: {
        200: { what: 'The code.', schema: z.string(), type: 'image/svg+xml' },
        404: { what: 'No such address.' },
      },
      async run({ query }) {
        const address = addresses()[query.n];
        if (address === undefined) throw problem(404, 'no-join');
        return { status: 200, text: { type: 'image/svg+xml; charset=utf-8', body: await qrSvg(address) } };
      },
    }),
  ];
}
