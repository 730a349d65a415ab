// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor, within } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import * as barn from '../testing/a-barn.ts';
import { EntriesOf } from './entries-of.tsx';

beforeEach(barn.freshBarn);
afterEach(cleanup);

const count = (eggs: number) =>
  barn.write('egg_count', {
    cage: 'cage-A1',
    round: 'morning',
    eggs,
    cracked: 0,
    soiled: 0,
    thin_shelled: 0,
  });
const rows = () =>
  within(screen.getByRole('list', { name: 'Entries, newest first' })).getAllByRole('listitem');

describe('the entries of a cage', () => {
  it('are struck through, not taken away, and say why', async () => {
    await count(3);
    render(<EntriesOf subject="cage/cage-A1" />);
    fireEvent.click(screen.getByRole('button', { name: 'Strike: Cage A1: 3 eggs' }));
    fireEvent.input(screen.getByLabelText('Why'), { target: { value: 'wrong cage' } });
    fireEvent.click(screen.getByRole('button', { name: 'Strike it' }));
    await waitFor(() => expect(rows()[0]?.dataset.struck).toBe('true'));
    expect(rows()[0]?.textContent).toContain('struck: wrong cage');
    expect(within(rows()[0] as HTMLElement).queryByRole('button')).toBeNull();
  });

  it('stand with who wrote them and where they are; the newest first', async () => {
    await count(3);
    await count(4);
    render(<EntriesOf subject="cage/cage-A1" />);
    expect(rows()[0]?.textContent).toContain('4 eggs');
    expect(rows()[0]?.textContent).toContain('Marit, on this phone');
  });

  it('let a helper strike their own only, an onlooker none', async () => {
    await count(3);
    const owner = barn.me.value;
    if (!owner) throw new Error('nobody');
    barn.me.value = { ...owner, role: 'helper' };
    await count(4);
    barn.me.value = { ...owner, role: 'helper', person: 'person-2' };
    await count(5);
    render(<EntriesOf subject="cage/cage-A1" />);
    expect(screen.getAllByRole('button', { name: /^Strike/ })).toHaveLength(1);
    cleanup();
    barn.me.value = { ...owner, role: 'onlooker' };
    render(<EntriesOf subject="cage/cage-A1" />);
    expect(screen.queryAllByRole('button', { name: /^Strike/ })).toHaveLength(0);
  });

  it('asks the house for older ones until there are none', async () => {
    barn.answers.loadOlder = vi.fn(async () => false);
    render(<EntriesOf subject="cage/cage-A1" />);
    fireEvent.click(screen.getByRole('button', { name: 'Older entries' }));
    await screen.findByText('That is all there is.');
    expect(barn.answers.loadOlder).toHaveBeenCalledWith('cage/cage-A1');
  });

  it('says what went wrong when the house cannot be asked', async () => {
    barn.answers.loadOlder = async () => {
      throw new Error('The house cannot be reached.');
    };
    render(<EntriesOf subject="cage/cage-A1" />);
    fireEvent.click(screen.getByRole('button', { name: 'Older entries' }));
    await screen.findByText('The house cannot be reached.');
  });
});
