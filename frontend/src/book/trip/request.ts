/** One request to the house, and whether what came back is an answer of ours at all. */
import type { Id, Millis, Problem } from '../contract.ts';
import { CannotReach, Refused } from '../refused.ts';

export interface Ways {
  fetch: typeof fetch;
  now: () => Millis;
}

export interface Asked {
  method?: 'GET' | 'POST' | 'PUT' | 'DELETE';
  body?: unknown;
  csrf?: string | undefined;
  timeout?: Millis;
  /** The answer carries no `protocol` of its own. */
  anyShape?: boolean;
}

export interface Answered<T> {
  said: T;
  status: number;
  asked: Millis;
  heard: Millis;
}

export const PROTOCOL = 1;
const TIMEOUT_MS = 20_000;

/** A JSON object, whatever else it holds. */
type Said = Record<string, unknown>;

/**
 * Asks the house. Resolves with JSON of our protocol only.
 * Throws Refused for a problem the house describes (and for 413, 429 and 5xx, which anything on the way may say for it),
 * CannotReach for everything else.
 */
export async function ask<T>(ways: Ways, path: string, how: Asked = {}): Promise<Answered<T>> {
  const asked = ways.now();
  const { answer, text } = await carry(ways, path, how);
  const heard = ways.now();
  const said = readJson(text);
  if (answer.ok) {
    const ours = said?.protocol === PROTOCOL || (said !== null && (how.anyShape || answer.status === 202));
    if (!ours)
      throw new CannotReach('What answered is not the house: this network may ask for a sign-in of its own.');
    return { said: said as T, status: answer.status, asked, heard };
  }
  throw noAnswer(answer, said, ways.now());
}

async function carry(ways: Ways, path: string, how: Asked): Promise<{ answer: Response; text: string }> {
  const headers: Record<string, string> = { Accept: 'application/json' };
  const json = how.body !== undefined && !(how.body instanceof FormData);
  if (json) headers['Content-Type'] = 'application/json';
  if (how.csrf !== undefined) headers['X-CSRFToken'] = how.csrf;
  try {
    const answer = await ways.fetch(path, {
      method: how.method ?? 'GET',
      headers,
      credentials: 'same-origin',
      cache: 'no-store',
      // Following a portal's redirect would carry the entries to it.
      redirect: 'error',
      signal: AbortSignal.timeout(how.timeout ?? TIMEOUT_MS),
      ...(how.body !== undefined && { body: json ? JSON.stringify(how.body) : (how.body as FormData) }),
    });
    return { answer, text: await answer.text() };
  } catch (error) {
    throw new CannotReach('The house cannot be reached.', { cause: error });
  }
}

function readJson(text: string): Said | null {
  try {
    const said: unknown = JSON.parse(text);
    return typeof said === 'object' && said !== null && !Array.isArray(said) ? (said as Said) : null;
  } catch {
    return null;
  }
}

function noAnswer(answer: Response, said: Said | null, now: Millis): Error {
  const { status } = answer;
  const retryAfter = waitOf(answer.headers.get('Retry-After'), now);
  if (typeof said?.code === 'string' && typeof said.detail === 'string') {
    const { code, detail, field } = said as unknown as Problem;
    return new Refused(detail, { code, field: field ?? null, status, retryAfter });
  }
  if (status === 413 || status === 429 || status === 503 || status === 500)
    return new Refused(`The house has a fault (${status}).`, {
      code: `status_${status}`,
      status,
      retryAfter,
    });
  return new CannotReach(`What answered is not the house (${status}).`);
}

/** A house asks for seconds. What asks for more stands between, and must not silence a phone that is home again. */
const LONGEST_WAIT_MS = 900_000;

/** Retry-After in milliseconds: seconds or a date (RFC 9110, 10.2.3). */
export function waitOf(header: string | null, now: Millis): Millis | null {
  if (header === null) return null;
  const wait = /^\d+$/.test(header.trim()) ? Number(header) * 1000 : Date.parse(header) - now;
  return Number.isNaN(wait) ? null : Math.min(Math.max(0, wait), LONGEST_WAIT_MS);
}

/** Whose answer it is. */
export interface Identity {
  house: Id;
  book: Id;
  house_time: Millis;
}

/** An answer that does not say which house and book it comes from is not ours. */
export function identityOf(said: Partial<Identity>): Identity {
  const { house, book, house_time } = said;
  if (typeof house !== 'string' || typeof book !== 'string' || typeof house_time !== 'number')
    throw new CannotReach('What answered is not the house: it does not say which house it is.');
  return { house, book, house_time };
}
