import { expect, test } from 'vitest';
import { kindOf, learn } from '../../book/kinds/index.ts';
import { OFF_ROUND } from '../../book/kinds/off-round.ts';
import { type Typed, typedOf, understood } from './reply.ts';

const L = '0197c2a0-0000-7000-8000-000000000003';
const typed = (given: Partial<Typed> = {}): Typed => ({
  line: L,
  name: 'Slate Barrow',
  sent: 48,
  told: false,
  broken: '2',
  set: '46',
  clear: '',
  hatched: '33',
  plumage: [
    { key: 'slate', words: 'slate blue', chicks: '31' },
    { key: 'fawn', words: 'fawn', chicks: '' },
  ],
  ...given,
});

test('what is typed is what the kind takes', () => {
  learn(OFF_ROUND);
  const said = understood([typed()]);
  expect(said).toEqual([
    { line: L, broken: 2, set: 46, clear: null, hatched: 33, chicks: [{ plumage: 'slate', chicks: 31 }] },
  ]);
  const body = { shipment: L, lines: said, slip: true };
  expect(kindOf('hatch_reported')?.check(body)).toBeNull();
});

test('more than was sent, other than numbers, and nothing at all are said', () => {
  expect(understood([typed({ broken: '3' })])).toMatch(/48 eggs were sent/);
  expect(understood([typed({ set: 'all' })])).toMatch(/only whole numbers/);
  expect(understood([typed({ broken: '', set: '', hatched: '', plumage: [] })])).toMatch(/Nothing/);
});

test('what was told before and is empty now is taken back', () => {
  learn(OFF_ROUND);
  const empty = { told: true, broken: '', set: '', hatched: '', plumage: [] };
  const said = understood([typed(empty)]);
  expect(said).toEqual([{ line: L, broken: null, set: null, clear: null, hatched: null, chicks: [] }]);
  expect(kindOf('hatch_reported')?.check({ shipment: L, lines: said, slip: true })).toBeNull();
});

test('the form comes with what was told last', () => {
  const report = {
    lines: [{ line: L, broken: 0, set: 48, clear: 3, hatched: null, chicks: [] }],
  } as never;
  const eggs = [
    { order: null, line: L, laid_on: '2026-07-12', eggs: 30 },
    { order: null, line: L, laid_on: null, eggs: 18 },
  ];
  expect(typedOf({ eggs, report }, [])).toMatchObject([
    { sent: 48, told: true, broken: '0', set: '48', clear: '3', hatched: '' },
  ]);
});
