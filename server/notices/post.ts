/** What came of one try: it was taken, or a clause that says why not. */
export type Posted = { readonly ok: true } | { readonly ok: false; readonly why: string };

export type Post = (address: string, body: object) => Promise<Posted>;

/** A receiver that takes longer is given up for this time. */
export const ANSWER_WITHIN_MS = 5_000;

/**
 * Posts JSON and looks only at the status. Never rejects. A redirect counts as refused: who is told must be who was
 * named. What is said of a failure names the host at most, since the rest of an address may be a secret.
 */
export async function postJson(address: string, body: object, withinMs = ANSWER_WITHIN_MS): Promise<Posted> {
  const { host } = new URL(address);
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
      redirect: 'manual',
      signal: AbortSignal.timeout(withinMs),
    });
    void answer.body?.cancel().catch(() => {});
    return answer.ok ? { ok: true } : { ok: false, why: `${host} answered ${answer.status}` };
  } catch (error) {
    return { ok: false, why: whyOf(error, host) };
  }
}

function whyOf(error: unknown, host: string): string {
  const name = (error as { name?: unknown } | null)?.name;
  if (name === 'TimeoutError') return `${host} did not answer in time`;
  const cause = (error as { cause?: { code?: unknown } } | null)?.cause;
  switch (cause?.code) {
    case 'ECONNREFUSED':
      return `nothing listens at ${host}`;
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return `there is no way to find ${host}: look at the name, and whether this computer reaches the internet`;
    case 'ENETUNREACH':
    case 'EHOSTUNREACH':
    case 'UND_ERR_CONNECT_TIMEOUT':
    case 'ETIMEDOUT':
      return `${host} can’t be reached from here`;
    case 'ECONNRESET':
    case 'UND_ERR_SOCKET':
      return `${host} broke the connection off`;
    default:
      return typeof cause?.code === 'string' && /CERT|SSL|TLS/.test(cause.code)
        ? `the certificate of ${host} is not trusted here`
        : `${host} could not be told`;
  }
}
