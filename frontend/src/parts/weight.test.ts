import { describe, expect, it } from 'vitest';
import { showWeight, toGrams, typedNumber } from './weight.ts';

describe('a weight', () => {
  it('is read with a point or a comma', () => {
    expect(typedNumber('12.4')).toBe(12.4);
    expect(typedNumber('12,4')).toBe(12.4);
    expect(typedNumber('.58')).toBe(0.58);
    expect(typedNumber('15.')).toBe(15);
  });
  it('is no weight when it is nothing, zero or not a number', () => {
    for (const text of ['', '.', '0', '0.0', '1.2.3', '-3', '12g', '1e3'])
      expect(typedNumber(text)).toBeNull();
  });
  it('is kept in grams', () => {
    expect(toGrams(1, 'oz')).toBe(28.35); // 28.349523125 to the thousandth
    expect(toGrams(0.58, 'oz')).toBe(16.443);
    expect(toGrams(12.4, 'g')).toBe(12.4);
  });
  it('is shown in the owner’s unit', () => {
    expect(showWeight(16.443, 'oz', 'egg')).toBe('0.58 oz');
    expect(showWeight(12.44, 'g', 'egg')).toBe('12.4 g');
    expect(showWeight(297.67, 'oz', 'bird')).toBe('10.5 oz');
    expect(showWeight(297.67, 'g', 'bird')).toBe('298 g');
  });
});
