import { expect, test } from 'vitest';
import { brooderWarmth } from './warmth.ts';

test('the brooder cools by the week, as Mississippi State gives it', () => {
  expect(brooderWarmth(0)).toBe('32 to 35 °C (90 to 95 °F)');
  expect(brooderWarmth(6)).toBe('32 to 35 °C (90 to 95 °F)');
  expect(brooderWarmth(7)).toBe('29 to 32 °C (85 to 90 °F)');
  expect(brooderWarmth(34)).toBe('21 to 24 °C (70 to 75 °F)');
  expect(brooderWarmth(60)).toBe('21 °C (70 °F)');
});
