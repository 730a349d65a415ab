import { expect, test } from 'vitest';
import { eggsFor } from './table.ts';

const PAGE = {
  cocks: [0, 1],
  hens: [0, 4, 15],
  eggs: [
    [null, 24, 80],
    [9, 31, 88],
  ],
};

test('eggs for so many keepers stand where their row and column meet', () => {
  expect(eggsFor(PAGE, { cocks: 1, hens: 4 })).toBe(31);
  expect(eggsFor(PAGE, { cocks: 0, hens: 15 })).toBe(80);
});

test('nothing is said beyond the table, nor where nobody is wanted', () => {
  expect(eggsFor(PAGE, { cocks: 2, hens: 4 })).toBeNull();
  expect(eggsFor(PAGE, { cocks: 1, hens: 5 })).toBeNull();
  expect(eggsFor(PAGE, { cocks: 0, hens: 0 })).toBeNull();
});
