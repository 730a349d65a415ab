import { expect, test, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { freshBarn } from '../testing/a-barn.ts';
import { wornElsewhere } from './bands-worn.ts';

test('a band on a living bird of any other brood is said, however it is spelled; one of the own brood is that bird', () => {
  freshBarn();
  const wearer = { ...UNKNOWN_BIRD, id: 'x', brood: 'brood-1', number: 12, band: 'R 14' };
  const worn = new Map([['r14', [wearer]]]);
  expect(wornElsewhere(worn, ['R13', 'r14'], 'brood-2')).toMatch(
    /^Band R 14 is on bird 12 of brood .+ already/,
  );
  expect(wornElsewhere(worn, ['R14'], 'brood-1')).toBeNull();
  expect(wornElsewhere(worn, ['R15', ''], 'brood-2')).toBeNull();
});
