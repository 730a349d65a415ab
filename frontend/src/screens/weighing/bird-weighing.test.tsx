// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, within } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { Bodies, Kind } from '../../book/index.ts';
import * as barn from '../testing/a-barn.ts';
import { BirdWeighing } from './bird-weighing.tsx';

async function tap(name: string | RegExp) {
  fireEvent.click(screen.getByRole('button', { name }));
  await vi.advanceTimersByTimeAsync(400);
}
/** A scale wedged in between phone and hand: it types as a keyboard does, and ends with Enter. */
async function scaleTypes(weight: string) {
  for (const key of [...weight, 'Enter']) {
    fireEvent.keyDown(document.body, { key });
    await vi.advanceTimersByTimeAsync(20);
  }
  await vi.advanceTimersByTimeAsync(400);
}
const bodies = <K extends Kind>(kind: K) =>
  barn.entries.value.filter((e) => !e.struck && e.kind === kind).map((e) => e.body as Bodies[K]);
const verdict = () => screen.getByRole('region', { name: /^Bird \d+ weighed$/ });

beforeEach(() => {
  vi.useFakeTimers({
    now: new Date(2026, 2, 14, 9, 0),
    toFake: ['Date', 'performance', 'setTimeout', 'clearTimeout'],
  });
  barn.freshBarn();
  barn.lines.value = barn.lines.value.map((l) => ({ ...l, cock_cut_g: 297, hen_cut_g: 325 }));
  // Brood 2 is 61 days old; the line weighs on day 56.
  render(<BirdWeighing brood="brood-2" />);
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

describe('weigh day', () => {
  it('says at once how far over the cut, and takes the decision as a tap of its own', async () => {
    fireEvent.click(screen.getByRole('radio', { name: 'Cock' }));
    await scaleTypes('312');
    expect(verdict().textContent).toContain('15 g over');
    expect(verdict().textContent).toContain('The heaviest of 1 cock');
    expect(verdict().textContent).toContain('the cut is for day 56');
    expect(bodies('bird_decided')).toEqual([]);
    await tap(/^Keep/);
    expect(bodies('bird_decided')).toMatchObject([{ decision: 'keep' }]);
    expect(bodies('bird_sexed')).toMatchObject([{ result: 'cock', bird: bodies('bird_weight')[0]?.bird }]);
  });

  it('lets a wedged scale write the next weight over an open question', async () => {
    fireEvent.click(screen.getByRole('radio', { name: 'Hen' }));
    await scaleTypes('320');
    expect(verdict().textContent).toContain('5 g under');
    await scaleTypes('331.5');
    expect(bodies('bird_weight').map((b) => b.grams)).toEqual([331.5, 320]);
    expect(bodies('bird_decided')).toEqual([]);
  });

  it('ranks the second against the first, and changes a decision later', async () => {
    for (const weight of ['300', '310']) {
      fireEvent.click(screen.getByRole('radio', { name: 'Cock' }));
      await scaleTypes(weight);
      await tap(weight === '300' ? 'Hold' : /^Keep/);
    }
    await tap('Decide on bird 1');
    expect(verdict().textContent).toContain('Number 2 of 2 cocks');
    await tap('Process');
    expect(bodies('bird_decided')[0]).toMatchObject({ decision: 'process' });
  });

  it('asks once more about a weight far off, and writes nothing until told', async () => {
    barn.doubts.say = 'That is 1520 g for one bird. Is 1520 g right?';
    await scaleTypes('1520');
    expect(bodies('bird_weight')).toEqual([]);
    barn.doubts.say = null;
    await tap('Yes, 1520 g');
    expect(bodies('bird_weight')).toHaveLength(1);
  });

  it('weighs a batch of unbanded birds together', async () => {
    await tap('Several at once');
    const leaf = within(screen.getByRole('dialog', { hidden: true }));
    fireEvent.click(leaf.getByRole('button', { name: 'Hens: one more', hidden: true }));
    fireEvent.click(leaf.getByRole('button', { name: 'Cocks: one more', hidden: true }));
    fireEvent.input(leaf.getByLabelText(/^All of them/), { target: { value: '622' } });
    expect(leaf.getByText('311 g a bird.')).toBeTruthy();
    fireEvent.click(leaf.getByRole('button', { name: 'Write it down', hidden: true }));
    await vi.advanceTimersByTimeAsync(50);
    expect(bodies('birds_weighed')).toMatchObject([{ hens: 1, cocks: 1, unsexed: 0, grams: 622 }]);
  });
});
