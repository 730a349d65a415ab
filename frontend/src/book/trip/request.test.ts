import { expect, test } from 'vitest';
import { CannotReach, Refused } from '../refused.ts';
import { ask, identityOf, waitOf } from './request.ts';

const ways = (answer: Response | Error) => {
  const asked: RequestInit[] = [];
  const fetch = (_: unknown, init: RequestInit) => {
    asked.push(init);
    return answer instanceof Error ? Promise.reject(answer) : Promise.resolve(answer);
  };
  return { asked, ways: { fetch: fetch as typeof globalThis.fetch, now: () => 1000 } };
};
const said = (content: unknown, init?: ResponseInit) => new Response(JSON.stringify(content), init);

test('an answer of ours', async () => {
  const { ways: with_, asked } = ways(said({ protocol: 1, a: 2 }));
  expect(await ask(with_, '/api/x', { method: 'POST', body: { b: 3 }, csrf: 't' })).toEqual({
    said: { protocol: 1, a: 2 },
    status: 200,
    asked: 1000,
    heard: 1000,
  });
  expect(asked[0]).toMatchObject({
    method: 'POST',
    body: '{"b":3}',
    redirect: 'error',
    cache: 'no-store',
    credentials: 'same-origin',
  });
  expect(asked[0]?.headers).toMatchObject({ 'X-CSRFToken': 't' });
});

test.each<[string, Response | Error]>([
  ['a page of a portal', new Response('<html></html>')],
  ['JSON of somebody else', said({ ok: true })],
  ['a bare value', said(7)],
  ['an empty answer', new Response('')],
  ['a newer protocol', said({ protocol: 2 })],
  ['a page that forbids', new Response('<html></html>', { status: 403 })],
  // RFC 9457, section 3, its own example: a problem, but none of ours, for it has no code.
  [
    'a problem of somebody else',
    said(
      {
        type: 'https://example.com/probs/out-of-credit',
        title: 'You do not have enough credit.',
        detail: 'Your current balance is 30, but that costs 50.',
        instance: '/account/12345/msgs/abc',
        balance: 30,
        accounts: ['/account/12345', '/account/67890'],
      },
      { status: 403, headers: { 'Content-Type': 'application/problem+json' } },
    ),
  ],
  ['a page that is not there', new Response('no', { status: 404 })],
  ['a network that is not there', new TypeError('Failed to fetch')],
  ['a stall', new DOMException('signal timed out', 'TimeoutError')],
])('%s is no answer', async (_, answer) => {
  await expect(ask(ways(answer).ways, '/api/x')).rejects.toThrow(CannotReach);
});

test('a problem the house describes (RFC 9457) is a refusal with its code, field and words', async () => {
  const problem = {
    type: 'about:blank',
    title: 'No',
    status: 400,
    code: 'body_wrong_field',
    detail: 'The name is taken.',
    field: 'name',
  };
  const refusal = await ask(ways(said(problem, { status: 400 })).ways, '/api/x').catch(
    (error: unknown) => error,
  );
  expect(refusal).toBeInstanceOf(Refused);
  expect(refusal).toMatchObject({
    code: 'body_wrong_field',
    field: 'name',
    status: 400,
    message: 'The name is taken.',
  });
});

test.each([413, 429, 500, 503])('%i says something of the house, whoever words it', async (status) => {
  await expect(ask(ways(new Response('x', { status })).ways, '/api/x')).rejects.toMatchObject({
    name: 'Refused',
    status,
  });
});

test('Retry-After in seconds or as a date (RFC 9110, 10.2.3), or nonsense', () => {
  const now = Date.parse('Fri, 31 Dec 1999 23:59:00 GMT');
  expect(waitOf('120', now)).toBe(120_000);
  expect(waitOf('Fri, 31 Dec 1999 23:59:59 GMT', now)).toBe(59_000);
  expect(waitOf('Fri, 31 Dec 1999 23:00:00 GMT', now)).toBe(0);
  expect(waitOf('soon', now)).toBeNull();
  expect(waitOf(null, now)).toBeNull();
});

test('an answer that does not say whose it is is no answer', () => {
  expect(identityOf({ house: 'h', book: 'b', house_time: 1 })).toEqual({
    house: 'h',
    book: 'b',
    house_time: 1,
  });
  expect(() => identityOf({ house: 'h', house_time: 1 })).toThrow(CannotReach);
});
