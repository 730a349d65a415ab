import { expect, test } from 'vitest';
import { missingInWords, money, notBorneInWords, partInWords } from './cost-words.ts';

test('money below one keeps three digits', () => {
  expect([money(0.168), money(0.06), money(7.0278)]).toEqual(['0.168', '0.060', '7.03']);
});

test('a part says what was shared out and how', () => {
  const feed = { what: 'feed', amount: 18.6, share: 0.5, shared_by: 'bird_days' };
  expect(partInWords(feed, 'EUR')).toBe('feed 18.60 EUR, 50 % by bird-days in the cages');
  expect(partInWords({ what: 'cartons', amount: 4.5, share: 1, shared_by: '' }, 'EUR')).toBe(
    'cartons 4.50 EUR',
  );
});

test('what is not known says why', () => {
  const of = (missing: unknown) => missingInWords({ missing } as never);
  expect(of({ reason: 'no_records', what: 'prices of feed', have: 0, need: 1, detail: 'nobody said' })).toBe(
    'Not known: nobody said.',
  );
  expect(of({ reason: 'no_records', what: 'sound eggs', have: 0, need: 1, detail: '' })).toBe(
    'Not known: no sound eggs in the book.',
  );
});

test('an expense that no cost bears is named with its amount and why', () => {
  const straw = { what: 'straw', amount: 7, currency: 'EUR', part: 'rearing' };
  expect(notBorneInWords([straw])).toBe(
    'In no cost above: straw 7.00 EUR (no brood reached the weighing age).',
  );
  const feed = { what: '4.0 kg of feed', amount: null, currency: '', part: 'past_age' };
  expect(notBorneInWords([feed])).toBe(
    'In no cost above: 4.0 kg of feed (eaten by broods past the weighing age, or bought in).',
  );
});
