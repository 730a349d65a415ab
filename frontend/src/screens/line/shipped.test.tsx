import { expect, test } from 'vitest';
import type { FigureRow } from '../../book/index.ts';
import { ageWords, reportedWords } from './shipped.tsx';

const row = (given: Partial<FigureRow>): FigureRow => ({
  id: 'f',
  subject: 'shipped/l',
  name: 'shipments_reported',
  span: 'all',
  unit: 'share',
  value: null,
  low: null,
  high: null,
  n: 0,
  n_of: 'shipments',
  first_day: null,
  last_day: null,
  method: '',
  left_out: [],
  missing: null,
  notes: [],
  computed_at: 0,
  ...given,
});

test('who told is said as so many of so many, with the caution', () => {
  const said = reportedWords(
    row({ value: 0.75, n: 12, left_out: [{ what: 'shipments', count: 1, why: 'hatch_not_due_yet' }] }),
  );
  expect(said).toMatch(/^9 of 12 shipments were told of\. 1 shipment may not have hatched yet\./);
  expect(said).toMatch(/may not be like/);
  expect(reportedWords(row({}))).toBe('Nothing is told yet.');
});

test('the age of the eggs is said as odds for a day', () => {
  // exp(-0.1) = 0.9048: ten percent less; exp(0.02) two more.
  expect(ageWords(row({ value: -0.1, low: -0.22, high: 0.02, n: 480 }))).toMatch(
    /odds of hatching −10 % \(95 %: −20 % to \+2 %\), n = 480 eggs/,
  );
  expect(ageWords(row({ value: -5.7, low: -23, high: 11.6, n: 148 }))).toMatch(/cannot be told yet/);
});
