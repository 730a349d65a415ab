import { expect, test } from 'vitest';
import { asNumber } from './typed.ts';

test('numbers as they are typed', () => {
  expect(['14.5', '14,5', ' 25 ', '0.35'].map(asNumber)).toEqual([14.5, 14.5, 25, 0.35]);
  expect(['', 'ten', '1e3', '-2', '1.2.3', 'NaN', '1,000.5'].map(asNumber)).toEqual(Array(7).fill(null));
});
