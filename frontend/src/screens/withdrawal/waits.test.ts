import { describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { WithdrawalRow } from '../../book/index.ts';
import { subjectsOf, waitsIn } from './waits.ts';

const row = (over: Partial<WithdrawalRow>): WithdrawalRow => ({
  id: 'w',
  subject: 'cage/c',
  what: 'mites',
  first_day: '2026-03-01',
  last_day: '2026-03-03',
  eggs_until: '2026-03-10',
  meat_until: '2026-03-14',
  note: '',
  ...over,
});
const on = (day: string, of: 'eggs' | 'meat' = 'eggs') =>
  waitsIn([row({})], { of, subjects: ['cage/c'], day }).length;

describe('a withdrawal span', () => {
  it('waits from its first day up to and with its last, apart for eggs and for meat', () => {
    expect([on('2026-02-28'), on('2026-03-01'), on('2026-03-10'), on('2026-03-11')]).toEqual([0, 1, 1, 0]);
    expect([on('2026-03-14', 'meat'), on('2026-03-15', 'meat')]).toEqual([1, 0]);
  });
  it('goes with birds that were moved: the house says which treatments reach a cage', () => {
    const reached = [
      {
        id: 'cage/d',
        subject: 'cage/d' as const,
        eggs_until: '2026-03-10',
        meat_until: null,
        treatments: ['w'],
      },
    ];
    const asked = { of: 'eggs' as const, subjects: ['cage/d' as const], day: '2026-03-05' };
    expect(waitsIn([row({})], asked)).toEqual([]);
    expect(waitsIn([row({})], { ...asked, reached })).toEqual([{ what: 'mites', until: '2026-03-10' }]);
  });
  it('of a line holds for its cages and broods; one without a wait holds nothing back', () => {
    const of_line = [row({ subject: 'line/l' }), row({ subject: 'line/l', eggs_until: null })];
    const subjects = subjectsOf({ cage: { id: 'c', line: 'l' } });
    expect(waitsIn(of_line, { of: 'eggs', subjects, day: '2026-03-05' })).toHaveLength(1);
    expect(
      waitsIn(of_line, {
        of: 'eggs',
        subjects: subjectsOf({ cage: { id: 'd', line: null } }),
        day: '2026-03-05',
      }),
    ).toEqual([]);
  });
});
