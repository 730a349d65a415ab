// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { Bodies } from '../../book/index.ts';
import * as barn from '../testing/a-barn.ts';
import { BroodForm } from './brood-form.tsx';
import { CagesSetUp } from './cages-set-up.tsx';
import { FarmForm } from './farm-form.tsx';
import { LineForm } from './line-form.tsx';

beforeEach(barn.freshBarn);
afterEach(cleanup);

const fill = (label: string, value: string) =>
  fireEvent.input(screen.getByLabelText(label), { target: { value } });
const written = <K extends keyof Bodies>(kind: K) =>
  barn.entries.value
    .filter((e) => e.kind === kind)
    .map((e) => e.body as Bodies[K])
    .reverse();

describe('set-up', () => {
  it('writes a whole row of cages, each after the last one of the walk', async () => {
    render(<CagesSetUp />);
    fill('Row', 'D');
    fill('To', '3');
    fireEvent.click(screen.getByRole('button', { name: 'Add 3 cages' }));
    await waitFor(() => expect(written('cage')).toHaveLength(3));
    expect(written('cage').map((c) => [c.code, c.row, c.place])).toEqual([
      ['D1', 'D', 31],
      ['D2', 'D', 32],
      ['D3', 'D', 33],
    ]);
    expect(new Set(written('cage').map((c) => c.cage)).size).toBe(3);
  });

  it('does not make a cage whose code is taken', () => {
    render(<CagesSetUp />);
    fill('Row', 'A');
    expect(screen.getByText(/There already: A1/)).toBeTruthy();
    expect((screen.getByRole('button', { name: 'Add cages' }) as HTMLButtonElement).disabled).toBe(true);
  });

  it('moves a cage in the walk by trading places with its neighbour', async () => {
    render(<CagesSetUp />);
    fireEvent.click(screen.getByRole('button', { name: 'A1 later in the walk' }));
    await waitFor(() => expect(written('cage')).toHaveLength(2));
    expect(written('cage').map((c) => [c.code, c.place])).toEqual([
      ['A1', 2],
      ['A2', 1],
    ]);
  });

  it('keeps the key of a round whose name is changed: entries hold it', async () => {
    render(<FarmForm />);
    fill('Round 1', 'Early');
    fireEvent.click(screen.getByRole('button', { name: 'One more round' }));
    fill('Round 3', 'Evening late');
    fireEvent.click(screen.getByRole('button', { name: 'Write it down' }));
    await waitFor(() => expect(written('farm')).toHaveLength(1));
    expect(written('farm')[0]?.rounds.map((r) => [r.key, r.name])).toEqual([
      ['morning', 'Early'],
      ['evening', 'Evening'],
      ['evening_late', 'Evening late'],
    ]);
  });

  it('takes a line’s egg band in the owner’s unit and keeps grams', async () => {
    if (barn.farm.value) barn.farm.value = { ...barn.farm.value, weight_unit: 'oz' };
    render(<LineForm line="line-1" />);
    fill('to, oz', '0,6');
    fireEvent.click(screen.getByRole('button', { name: 'Write it down' }));
    await waitFor(() => expect(written('line')).toHaveLength(1));
    // Left as shown, the lower end stays to the gram; 0.6 oz = 17.010 g (28.349523125 g an ounce).
    expect(written('line')[0]).toMatchObject({ line: 'line-1', egg_low_g: 14, egg_high_g: 17.01 });
  });

  it('does not take a brood that is still to hatch', async () => {
    render(<BroodForm brood="new" />);
    fill('Code', '26-09');
    fill('Hatched on', '2026-03-20');
    fireEvent.click(screen.getByRole('button', { name: 'Write it down' }));
    expect(screen.getByText(/is still to come/)).toBeTruthy();
    expect(written('brood')).toHaveLength(0);
    fill('Hatched on', '2026-03-14');
    fireEvent.click(screen.getByRole('button', { name: 'Write it down' }));
    await waitFor(() => expect(written('brood')).toHaveLength(1));
  });

  it('is closed to a helper', () => {
    if (barn.me.value) barn.me.value = { ...barn.me.value, role: 'helper' };
    render(<CagesSetUp />);
    expect(screen.getByText('This is set up by the owner.')).toBeTruthy();
  });
});
