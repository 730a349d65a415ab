// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor, within } from '@testing-library/preact';
import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { Bodies } from '../../book/index.ts';
import { now_ms } from '../../parts/clock.ts';
import * as barn from '../testing/a-barn.ts';
import { EggRound } from './egg-round.tsx';

const counts = () => barn.entries.value.filter((e) => e.kind === 'egg_count' && !e.struck);
const count = (i = 0) => counts()[i]?.body as Bodies['egg_count'];
const here = () => screen.getByRole('heading', { level: 2 }).textContent?.replace('Cage ', '');
const pad = () => within(screen.getByRole('group', { name: /^Eggs in cage/ }));

/** One whole tap of a finger, and the wait after which the pad takes the next. */
async function tap(name: string | RegExp) {
  const key = pad().getByRole('button', { name });
  fireEvent.pointerDown(key, { pointerId: 1 });
  fireEvent.pointerUp(key, { pointerId: 1 });
  fireEvent.click(key);
  await vi.advanceTimersByTimeAsync(400);
}

// What comes later on a phone is here before the first test, as it is after the first second of a round.
beforeAll(() =>
  Promise.all([import('./questions.tsx'), import('./end-of-round.tsx'), import('./barn-map.tsx')]),
);
beforeEach(() => {
  vi.useFakeTimers({
    now: new Date(2026, 2, 14, 7, 0),
    toFake: ['Date', 'performance', 'setTimeout', 'clearTimeout'],
  });
  now_ms.value = Date.now();
  barn.freshBarn();
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

describe('the egg round', () => {
  it('takes one tap as the count and brings up the next cage', async () => {
    render(<EggRound />);
    expect(here()).toBe('A1');
    await tap('3');
    expect(count()).toMatchObject({ cage: 'cage-A1', round: 'morning', eggs: 3, cracked: 0 });
    expect(here()).toBe('A2');
    expect(document.querySelector('.last')?.textContent).toContain('A1 3 written');
  });

  it('stays at the cage, the digit hollow, until the phone has it', async () => {
    let release = () => {};
    barn.durable.wait = () => new Promise<void>((resolve) => (release = resolve));
    render(<EggRound />);
    await tap('3');
    expect(here()).toBe('A1');
    expect(screen.getByText(/being written/)).toBeTruthy();
    release();
    await waitFor(() => expect(here()).toBe('A2'));
    expect(screen.queryByText(/being written/)).toBeNull();
  });

  it('says so and stays when the phone could not keep it', async () => {
    barn.durable.wait = () => Promise.reject(new Error('This phone is full.'));
    render(<EggRound />);
    await tap('3');
    expect(screen.getByRole('alert').textContent).toContain('This phone is full.');
    expect(here()).toBe('A1');
    expect(counts()).toHaveLength(0);
  });

  it('does not take the bounce of a tap as the next cage’s count', async () => {
    render(<EggRound />);
    const key = pad().getByRole('button', { name: '3' });
    fireEvent.pointerDown(key, { pointerId: 1 });
    fireEvent.pointerUp(key, { pointerId: 1 });
    fireEvent.click(key);
    await vi.advanceTimersByTimeAsync(60);
    const again = pad().getByRole('button', { name: '3' });
    fireEvent.pointerDown(again, { pointerId: 1 });
    fireEvent.pointerUp(again, { pointerId: 1 });
    fireEvent.click(again);
    await vi.advanceTimersByTimeAsync(400);
    expect(counts()).toHaveLength(1);
    expect(here()).toBe('A2');
  });

  it('takes two digits after More, and three after More again', async () => {
    render(<EggRound />);
    await tap(/^More/);
    await tap('1');
    expect(counts()).toHaveLength(0);
    await tap('2');
    expect(count().eggs).toBe(12);
    await tap(/^More/);
    await tap(/^More/);
    await tap('1');
    await tap('0');
    await tap('4');
    expect(count().eggs).toBe(104);
  });

  it('takes what was not sound with the count, once', async () => {
    render(<EggRound />);
    fireEvent.click(screen.getByRole('button', { name: /^Cracked/ }));
    fireEvent.click(screen.getByRole('button', { name: /^Cracked/ }));
    fireEvent.click(screen.getByRole('button', { name: /^Soiled/ }));
    await tap('4');
    expect(count()).toMatchObject({ eggs: 4, cracked: 2, soiled: 1, thin_shelled: 0 });
    await tap('2');
    expect(count()).toMatchObject({ cage: 'cage-A2', eggs: 2, cracked: 0, soiled: 0 });
  });

  it('takes one tap too many of them back', async () => {
    render(<EggRound />);
    for (const name of [/^Cracked/, /^Soiled/, /^Soiled/])
      fireEvent.click(screen.getByRole('button', { name }));
    fireEvent.click(screen.getByRole('button', { name: 'One less' }));
    await tap('4');
    expect(count()).toMatchObject({ eggs: 4, cracked: 1, soiled: 1 });
    expect((screen.getByRole('button', { name: 'One less' }) as HTMLButtonElement).disabled).toBe(true);
  });

  it('asks once more about an unlikely count, and then believes it', async () => {
    barn.doubts.say = '3 hens in one day hardly lay 9 eggs. Is 9 right?';
    render(<EggRound />);
    await tap('9');
    expect(counts()).toHaveLength(0);
    fireEvent.click(screen.getByRole('button', { name: 'Yes, 9' }));
    await waitFor(() => expect(here()).toBe('A2'));
    expect(count().eggs).toBe(9);
    expect(screen.queryByRole('dialog')).toBeNull();
  });

  it('undoes the last count in one tap and goes back to its cage', async () => {
    render(<EggRound />);
    await tap('3');
    await tap('4');
    fireEvent.click(screen.getByRole('button', { name: /Undo/ }));
    await waitFor(() => expect(here()).toBe('A2'));
    expect(counts()).toHaveLength(1);
    fireEvent.click(screen.getByRole('button', { name: /Undo/ }));
    await waitFor(() => expect(here()).toBe('A1'));
    expect(counts()).toHaveLength(0);
  });

  it('asks what a second count of one round is: in its place strikes the first', async () => {
    await barn.write('egg_count', {
      cage: 'cage-A1',
      round: 'morning',
      eggs: 3,
      cracked: 0,
      soiled: 0,
      thin_shelled: 0,
    });
    render(<EggRound cage="cage-A1" />);
    expect(screen.getByText(/this round/).textContent).toContain('3 by Marit');
    await tap('4');
    expect(counts()).toHaveLength(1);
    fireEvent.click(screen.getByRole('button', { name: /^In its place/ }));
    await waitFor(() => expect(count().eggs).toBe(4));
    await waitFor(() => expect(counts()).toHaveLength(1));
  });

  it('lets the second count be another round’s', async () => {
    await barn.write('egg_count', {
      cage: 'cage-A1',
      round: 'morning',
      eggs: 3,
      cracked: 0,
      soiled: 0,
      thin_shelled: 0,
    });
    render(<EggRound cage="cage-A1" />);
    await tap('1');
    fireEvent.click(screen.getByRole('button', { name: /^Another round: evening/ }));
    await waitFor(() => expect(counts()).toHaveLength(2));
    expect(count()).toMatchObject({ eggs: 1, round: 'evening' });
  });

  it('does not let a helper strike what another wrote', async () => {
    await barn.write('egg_count', {
      cage: 'cage-A1',
      round: 'morning',
      eggs: 3,
      cracked: 0,
      soiled: 0,
      thin_shelled: 0,
    });
    if (barn.me.value) barn.me.value = { ...barn.me.value, person: 'person-2', role: 'helper' };
    render(<EggRound cage="cage-A1" />);
    await tap('4');
    expect(screen.queryByRole('button', { name: /^In its place/ })).toBeNull();
    expect(screen.getByText(/Only the owner can strike/)).toBeTruthy();
  });

  it('ends with what was passed over and what was not counted, each one tap away', async () => {
    barn.cages.value = barn.cages.value.slice(0, 3);
    render(<EggRound />);
    await tap('2');
    await tap(/^Pass over/);
    fireEvent.click(screen.getByRole('button', { name: /^Cage A3/ }));
    await tap('5');
    expect(here()).toBe('Morning round is done');
    expect(screen.getByRole('heading', { name: 'Passed over' })).toBeTruthy();
    expect(screen.getByRole('region', { name: 'End of the round' }).textContent).toContain(
      '7 eggs from 2 cages',
    );
    fireEvent.click(screen.getByRole('button', { name: 'A2' }));
    expect(here()).toBe('A2');
  });

  it('opens at the cage whose card was read, and jumps to any', () => {
    render(<EggRound cage="cage-B4" />);
    expect(here()).toBe('B4');
    fireEvent.click(screen.getByRole('button', { name: 'Cage C2, not counted' }));
    expect(here()).toBe('C2');
  });

  it('keeps its round and day over midnight while it is walked, and begins a new walk after an idle hour', async () => {
    vi.setSystemTime(new Date(2026, 2, 14, 23, 50));
    now_ms.value = Date.now();
    render(<EggRound />);
    expect(screen.getByRole('heading', { level: 1 }).textContent).toContain('Evening round');
    await tap('3');
    vi.setSystemTime(new Date(2026, 2, 15, 0, 10));
    barn.today.value = '2026-03-15';
    now_ms.value = Date.now();
    await tap('2');
    expect(counts().map((e) => [e.day, (e.body as Bodies['egg_count']).round])).toEqual([
      ['2026-03-14', 'evening'],
      ['2026-03-14', 'evening'],
    ]);
    vi.setSystemTime(new Date(2026, 2, 15, 6, 30));
    now_ms.value = Date.now();
    await vi.advanceTimersByTimeAsync(200);
    expect(screen.getByRole('heading', { level: 1 }).textContent).toContain('Morning round');
    expect(here()).toBe('A1');
    await tap('1');
    expect(counts()[0]).toMatchObject({ day: '2026-03-15', body: { cage: 'cage-A1', round: 'morning' } });
  });

  it('does not move on because another phone counted the cage in the hand', async () => {
    render(<EggRound />);
    await barn.write('egg_count', {
      cage: 'cage-A1',
      round: 'morning',
      eggs: 3,
      cracked: 0,
      soiled: 0,
      thin_shelled: 0,
    });
    await vi.advanceTimersByTimeAsync(50);
    expect(here()).toBe('A1');
    expect(screen.getByText(/this round/).textContent).toContain('3 by Marit');
  });

  it('begins at the first cage when the cages come after the page', async () => {
    const all = barn.cages.value;
    barn.cages.value = [];
    render(<EggRound />);
    barn.cages.value = all;
    await vi.advanceTimersByTimeAsync(200);
    expect(here()).toBe('A1');
  });

  it('takes nothing from an onlooker', async () => {
    if (barn.me.value) barn.me.value = { ...barn.me.value, role: 'onlooker' };
    render(<EggRound />);
    await tap('3');
    expect(barn.entries.value).toHaveLength(0);
  });
});
