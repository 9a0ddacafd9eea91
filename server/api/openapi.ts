import { z } from 'zod';
import {
  createDocument,
  type ZodOpenApiOperationObject,
  type ZodOpenApiPathsObject,
  type ZodOpenApiResponsesObject,
} from 'zod-openapi';
import { problemSchema, stopFailedSchema, stopSchema } from './answers.ts';
import type { Call, Told } from './call.ts';
import { PROBLEM_TYPE } from './problem.ts';

const ABOUT = `What the page says to the yard computer. Errors are problem details (RFC 9457) whose \`detail\` is a sentence for people.

The emergency stop is a hard-wired red button that cuts motion power and air (ISO 13850, IEC 60204-1). \`POST /api/stop\` is a convenience beside it.`;

/** The OpenAPI 3.1 document of these calls and of the stop, which is answered ahead of them. */
export function describeApi(calls: readonly Call[], cookie: string): object {
  const paths: ZodOpenApiPathsObject = { '/api/stop': { post: STOP } };
  for (const c of calls) paths[c.path] = { ...paths[c.path], [c.method]: operationOf(c) };
  return createDocument({
    openapi: '3.1.0',
    info: { title: 'Dusklatch', version: '1', description: ABOUT },
    paths,
    components: {
      securitySchemes: { session: { type: 'apiKey', in: 'cookie', name: cookie } },
    },
  });
}

const STOP: ZodOpenApiOperationObject = {
  operationId: 'postApiStop',
  summary:
    'Stop all: any body or none, from any host and page, without sign-in or limit, as often as wanted. An HTML form gets a page.',
  security: [],
  requestBody: { required: false, content: { '*/*': { schema: z.unknown() } } },
  responses: {
    200: {
      description: 'Latched, and handed to the bus.',
      content: { 'application/json': { schema: stopSchema }, 'text/html': { schema: z.string() } },
    },
    503: {
      description: 'Latched, but there is no bus: use the red button.',
      content: { [PROBLEM_TYPE]: { schema: stopFailedSchema }, 'text/html': { schema: z.string() } },
    },
  },
};

function operationOf(c: Call): ZodOpenApiOperationObject {
  const part = /\{(\w+)\}/.exec(c.path)?.[1];
  return {
    operationId: c.method + c.path.replace(/[^A-Za-z]+([A-Za-z])?/g, (_, next) => (next ?? '').toUpperCase()),
    summary: c.does,
    description: c.who === 'any' ? 'Anyone.' : `A ${c.who}.`,
    security: c.who === 'any' ? [] : [{ session: [] }],
    ...((part || c.query) && {
      requestParams: {
        ...(part && { path: z.object({ [part]: z.string() }) }),
        ...(c.query && { query: c.query as z.ZodObject }),
      },
    }),
    ...(c.raw && {
      requestBody: {
        required: true,
        content: { [c.raw.type]: { schema: z.string() } },
      },
    }),
    ...(c.body && { requestBody: { required: true, content: { 'application/json': { schema: c.body } } } }),
    responses: responsesOf(c),
  };
}

function responsesOf(c: Call): ZodOpenApiResponsesObject {
  const told: Record<number, Told> = { ...refusalsOf(c), ...c.says };
  return Object.fromEntries(
    Object.entries(told).map(([status, { what, schema, type }]) => [
      status,
      {
        description: what,
        ...(Number(status) >= 400
          ? { content: { [PROBLEM_TYPE]: { schema: problemSchema } } }
          : schema && { content: { [type ?? 'application/json']: { schema } } }),
      },
    ]),
  );
}

/** What follows from how a call is made; what is its own stands in the call. */
function refusalsOf(c: Call): Record<number, Told> {
  const signedIn = c.who !== 'any';
  const named = /\{(prop|scene)\}/.test(c.path);
  return {
    400: { what: 'No host, or more than one.' },
    403: {
      what: signedIn
        ? 'Not allowed, or asked by a page of another site.'
        : 'Asked by a page of another site.',
    },
    421: { what: 'Asked under a foreign name.' },
    429: { what: 'Too many requests from this address.' },
    ...(signedIn && { 401: { what: 'Not signed in.' } }),
    ...(named && { 404: { what: 'The yard has none of that name.' } }),
    ...(c.judged && { 409: { what: 'Refused, with the reasons; or stale.' } }),
    ...(c.body && { 413: { what: c.bodyBytes ? 'Larger than a yard file may be.' : 'Larger than 64 KiB.' } }),
    ...(c.raw && { 413: { what: 'Larger than it may be.' }, 422: { what: 'Not what it should be.' } }),
    ...((c.body || c.query || /\{date\}/.test(c.path)) && { 422: { what: 'Malformed.' } }),
    500: { what: 'The yard computer failed at this.' },
    ...(signedIn && { 503: { what: 'The disk refused.' } }),
  };
}
