import { expect, test } from 'vitest';
import { readGauge } from './gauge.ts';

test('a gauge is read with a point or a comma, may be left empty, and nothing it cannot show is taken', () => {
  const warm = (text: string) => readGauge(text, { least: -40, most: 60 });
  expect([warm('37.6'), warm(' 37,6 '), warm(''), warm('  ')]).toEqual([37.6, 37.6, null, null]);
  expect([warm('99.5'), warm('warm'), warm('-41')]).toEqual(['wrong', 'wrong', 'wrong']);
});
