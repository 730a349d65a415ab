/** The rows of the invented barn: thirty cages in three rows, a brood in its sexing window, one late, one soon. */
import type { BroodRow, CageRow, DueRow, FigureRow, LineRow, Subject } from '../../book/index.ts';
import { PLAIN_BROOD, PLAIN_LINE } from '../../book/testing/rows.ts';

export const TODAY = '2026-03-14';
/** 06:40 on the farm that day. */
export const NOW = Date.UTC(2026, 2, 14, 5, 40);

const figure = (over: Partial<FigureRow> & Pick<FigureRow, 'subject' | 'name' | 'span'>): FigureRow => ({
  id: `${over.subject}-${over.name}-${over.span}`,
  unit: over.name === 'usual_count' ? 'eggs' : 'eggs per hen-day',
  value: null,
  low: null,
  high: null,
  n: 0,
  n_of: over.name === 'usual_count' ? 'counts' : 'hen_days',
  first_day: '2026-02-14',
  last_day: '2026-03-13',
  method: 'quasi_poisson',
  left_out: [],
  missing: null,
  notes: [],
  computed_at: NOW - 3 * 3_600_000,
  ...over,
});

export const line = (name: string, at: number): LineRow => ({
  id: `line-${at}`,
  name,
  other_names: [],
  egg_low_g: 14,
  egg_high_g: 16,
  weighing_age_days: 56,
  sexing_from_day: 42,
  sexing_to_day: 56,
  ...PLAIN_LINE,
  note: '',
});

export const brood = (over: Partial<BroodRow> & Pick<BroodRow, 'id' | 'code' | 'hatched_on'>): BroodRow => ({
  line: 'line-1',
  chicks: 34,
  alive: 31,
  hens: 0,
  cocks: 0,
  unsure: 0,
  unlooked: 31,
  placed: 0,
  ...PLAIN_BROOD,
  note: '',
  ...over,
});

export const theLines = (): LineRow[] => [line('Moorland heavy', 1), line('White barn', 2), line('Rust', 3)];

export const theCages = (): CageRow[] =>
  ['A', 'B', 'C'].flatMap((row, r) =>
    Array.from({ length: 10 }, (_, i) => ({
      id: `cage-${row}${i + 1}`,
      code: `${row}${i + 1}`,
      row,
      place: r * 10 + i + 1,
      line: `line-${r + 1}`,
      closed: false,
      hens: 3 + ((i * 7 + r) % 4),
      cocks: 1,
      unsexed: 0,
      stocked_on: '2025-11-02',
    })),
  );

export const theBroods = (): BroodRow[] => [
  brood({
    id: 'brood-1',
    code: '26-03',
    hatched_on: '2026-01-28',
    unlooked: 12,
    hens: 9,
    cocks: 8,
    unsure: 2,
  }),
  brood({
    id: 'brood-2',
    code: '26-01',
    hatched_on: '2026-01-12',
    line: 'line-2',
    alive: 22,
    unlooked: 4,
    hens: 9,
    cocks: 9,
  }),
  brood({ id: 'brood-3', code: '26-05', hatched_on: '2026-02-05', line: 'line-3' }),
];

export const theDues = (): DueRow[] => [
  {
    id: 'due-1',
    work: 'sexing',
    subject: 'brood/brood-1',
    first_day: '2026-03-11',
    last_day: '2026-03-25',
    left: 14,
    done: false,
  },
  {
    id: 'due-2',
    work: 'sexing',
    subject: 'brood/brood-2',
    first_day: '2026-02-23',
    last_day: '2026-03-09',
    left: 4,
    done: false,
  },
  {
    id: 'due-3',
    work: 'sexing',
    subject: 'brood/brood-3',
    first_day: '2026-03-19',
    last_day: '2026-04-02',
    left: 31,
    done: false,
  },
];

export function theFigures(cages: CageRow[]): Map<Subject, FigureRow[]> {
  const of_cages = new Map<Subject, FigureRow[]>();
  for (const [i, cage] of cages.entries()) {
    const subject: Subject = `cage/${cage.id}`;
    const rate = 0.72 + ((i * 13) % 20) / 100;
    const usual = Math.round(cage.hens * rate);
    of_cages.set(subject, [
      figure({
        subject,
        name: 'lay_rate',
        span: '7d',
        value: rate - 0.04,
        low: rate - 0.2,
        high: rate + 0.1,
        n: cage.hens * 7,
        first_day: '2026-03-07',
      }),
      figure({
        subject,
        name: 'lay_rate',
        span: '28d',
        value: rate,
        low: rate - 0.08,
        high: rate + 0.06,
        n: cage.hens * 28,
        left_out: i % 4 ? [] : [{ what: 'intervals', count: 1, why: 'two counts of one round clash' }],
      }),
      i % 5 === 2
        ? figure({
            subject,
            name: 'lay_rate',
            span: 'since_placed',
            missing: { reason: 'too_few_days', what: 'days', have: 16, need: 28, detail: '' },
          })
        : figure({
            subject,
            name: 'lay_rate',
            span: 'since_placed',
            value: rate + 0.01,
            low: rate - 0.04,
            high: rate + 0.05,
            n: cage.hens * 132,
            first_day: '2025-11-02',
          }),
      figure({
        subject,
        name: 'usual_count',
        span: 'morning',
        value: usual,
        low: usual - 1,
        high: usual,
        n: 14,
      }),
    ]);
  }
  return of_cages;
}
