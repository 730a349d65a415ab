// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen } from '@testing-library/preact';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { pressGuard } from './press-guard.ts';
import { WeightPad } from './weight-pad.tsx';

afterEach(cleanup);

function pad() {
  let clock = 0;
  const onWeight = vi.fn();
  render(<WeightPad unit="g" label="Egg" guard={pressGuard(350, () => clock)} onWeight={onWeight} />);
  return {
    onWeight,
    wait: () => {
      clock += 400;
    },
    type: (...keys: string[]) => {
      for (const name of keys) fireEvent.click(screen.getByRole('button', { name }));
    },
    write: () => fireEvent.click(screen.getByRole('button', { name: /^Write/ })),
  };
}

describe('the pad for weights', () => {
  it('gives the number and the text as it was typed, then is empty', () => {
    const { type, write, onWeight, wait } = pad();
    type('1', '2', 'Point', '5', '0');
    write();
    expect(onWeight).toHaveBeenCalledWith(12.5, '12.50');
    wait();
    write();
    expect(onWeight).toHaveBeenCalledTimes(1);
  });
  it('takes one point, and takes a key back', () => {
    const { type, write, onWeight } = pad();
    type('1', 'Point', 'Point', '4', '5');
    fireEvent.click(screen.getByRole('button', { name: /take back/ }));
    write();
    expect(onWeight).toHaveBeenCalledWith(1.4, '1.4');
  });
  it('cannot write nothing', () => {
    const { type } = pad();
    expect((screen.getByRole('button', { name: /^Write/ }) as HTMLButtonElement).disabled).toBe(true);
    type('0', 'Point');
    expect((screen.getByRole('button', { name: /^Write/ }) as HTMLButtonElement).disabled).toBe(true);
  });
});
