import { expect, it } from 'vitest';
import { degrees, nearest } from './keeping.ts';

it('names the trials nearest to the store’s temperature, and does not reckon between them', () => {
  expect(nearest(14).map(degrees)).toEqual(['15.8 °C', '7.5 °C']);
  expect(nearest(27).map(degrees)).toEqual(['25–29 °C', '28 °C']);
  expect(nearest(2).map(degrees)[0]).toBe('4 °C');
});
