// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import * as barn from '../testing/a-barn.ts';
import { OutboxScreen } from './outbox.tsx';

beforeAll(() => import('./mend.tsx'));
beforeEach(barn.freshBarn);
afterEach(cleanup);

const count = (cage: string, eggs: number) =>
  barn.write('egg_count', { cage, round: 'morning', eggs, cracked: 0, soiled: 0, thin_shelled: 0 });

async function oneSetAside() {
  const { id } = await count('cage-A1', 40);
  barn.entries.value = barn.entries.value.map((e) =>
    e.id === id
      ? {
          ...e,
          place: 'aside',
          reason: { code: 'body_wrong_field', detail: 'Forty is more than can be.', field: 'eggs' },
        }
      : e,
  );
  return id;
}

describe('the outbox', () => {
  it('shows every unsent entry in words, the refused one first with its reason', async () => {
    await oneSetAside();
    await count('cage-A2', 3);
    render(<OutboxScreen />);
    expect(screen.getByText('Forty is more than can be.')).toBeTruthy();
    expect(screen.getByRole('heading', { name: '1 entry on this phone' })).toBeTruthy();
    const text = document.body.textContent ?? '';
    expect(text.indexOf('Cage A1: 40 eggs')).toBeLessThan(text.indexOf('Cage A2: 3 eggs'));
  });

  it('says that nothing is lost when the house cannot be reached', async () => {
    barn.link.value = { ...barn.link.value, state: 'cannot_reach' };
    render(<OutboxScreen />);
    expect(screen.getByText(/Nothing is lost/)).toBeTruthy();
  });

  it('strikes what was set aside', async () => {
    const id = await oneSetAside();
    render(<OutboxScreen />);
    fireEvent.click(screen.getByRole('button', { name: 'Strike it' }));
    await waitFor(() => expect(barn.entries.value.find((e) => e.id === id)?.struck).not.toBeNull());
  });

  it('mends it: a new entry that names the old, the reason beside the field', async () => {
    const id = await oneSetAside();
    render(<OutboxScreen />);
    fireEvent.click(screen.getByRole('button', { name: 'Mend' }));
    const eggs = await screen.findByLabelText('Eggs');
    expect(eggs.getAttribute('aria-invalid')).toBe('true');
    fireEvent.input(eggs, { target: { value: '4' } });
    fireEvent.click(screen.getByRole('button', { name: 'Write it again' }));
    await waitFor(() =>
      expect(barn.entries.value[0]).toMatchObject({ mends: id, kind: 'egg_count', body: { eggs: 4 } }),
    );
  });

  it('asks to sign in where the house wants to know who writes', () => {
    barn.link.value = { ...barn.link.value, state: 'signed_out' };
    render(<OutboxScreen />);
    expect(screen.getByRole('link', { name: 'Sign in again to send' }).getAttribute('href')).toBe('/sign-in');
    expect(screen.queryByRole('button', { name: 'Try now' })).toBeNull();
  });

  it('shows the owner what other phones had set aside', () => {
    barn.asides.value = [
      {
        id: 'aside-1',
        entry: 'x',
        kind: 'egg_count',
        author: 'person-2',
        received: 0,
        code: 'day_in_future',
        detail: 'That day has not come.',
        field: 'day',
        raw: '',
        mended_by: null,
      },
    ];
    render(<OutboxScreen />);
    expect(screen.getByText('That day has not come.')).toBeTruthy();
    expect(screen.getByText('egg count, Jon')).toBeTruthy();
  });
});
