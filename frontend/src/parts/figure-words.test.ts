import { describe, expect, it } from 'vitest';
import {
  figureValue,
  inUnit,
  leftOutWords,
  missingSentence,
  nWords,
  type ShownFigure,
} from './figure-words.ts';

const figure = (over: Partial<ShownFigure>): ShownFigure => ({
  name: 'lay_rate',
  span: '28d',
  unit: 'eggs/hen-day',
  value: 0.8493,
  low: 0.7902,
  high: 0.8904,
  n: 196,
  n_of: 'hen_days',
  first_day: '2026-02-12',
  last_day: '2026-03-11',
  method: 'quasi_poisson',
  left_out: [],
  missing: null,
  notes: [],
  computed_at: 0,
  ...over,
});

const without = (missing: ShownFigure['missing']) => figure({ value: null, low: null, high: null, missing });

describe('a figure in words', () => {
  it('is rounded to what its interval can bear', () => {
    expect(figureValue(figure({}))?.value).toBe('85 %');
    expect(figureValue(figure({}))?.interval).toBe('79 to 89 %');
    expect(figureValue(figure({ low: 0.845, high: 0.8536 }))?.value).toBe('84.9 %');
  });
  it('is in the owner’s unit of weight, in ounces as finely as its interval can bear', () => {
    // 16.44 g and 16.72 g over 28.349523125 g an ounce (NIST Handbook 44, appendix C): 0.58 and 0.59.
    const egg = figure({ name: 'egg_weight', unit: 'g', value: 16.58, low: 16.44, high: 16.72 });
    expect(figureValue(inUnit(egg, 'oz'))).toMatchObject({ value: '0.58 oz', interval: '0.58 to 0.59' });
    expect(figureValue(inUnit(egg, 'g'))).toMatchObject({ value: '16.6 g', interval: '16.4 to 16.7' });
  });
  it('says on what it stands', () => {
    expect(nWords(figure({}))).toBe('n = 196 hen-days');
    expect(nWords(figure({ n: 1, n_of: 'hen_days' }))).toBe('n = 1 hen-day');
  });
  it('may not be shown when it is missing, and says how much more is needed', () => {
    const few = without({ reason: 'too_few_days', what: 'days', have: 16, need: 28, detail: '' });
    expect(figureValue(few)).toBeNull();
    expect(missingSentence(few)).toBe('12 more days of counts are needed.');
    expect(
      missingSentence(without({ reason: 'too_few_days', what: 'days', have: 27, need: 28, detail: '' })),
    ).toBe('1 more day of counts is needed.');
  });
  it('gives the house’s own words where no count can say it', () => {
    const detail = 'hens below zero on 2026-03-04';
    expect(
      missingSentence(without({ reason: 'contradiction', what: '', have: null, need: null, detail })),
    ).toContain(detail);
  });
  it('says what was left out and why', () => {
    expect(leftOutWords(figure({ left_out: [{ what: 'counts', count: 1, why: 'only_anchors' }] }))).toBe(
      '1 count (nobody knows how long those eggs had lain there)',
    );
    expect(
      leftOutWords(figure({ left_out: [{ what: 'intervals', count: 2, why: 'two counts clash' }] })),
    ).toBe('2 intervals (two counts clash)');
  });
});
