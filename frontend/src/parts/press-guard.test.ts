import { describe, expect, it } from 'vitest';
import { pressGuard } from './press-guard';

function pad() {
  let clock = 1000;
  const guard = pressGuard(350, () => clock);
  return {
    guard,
    wait: (ms: number) => {
      clock += ms;
    },
    tap: (finger = 1) => {
      guard.down(finger);
      guard.up(finger);
      return guard.take();
    },
  };
}

describe('the guard of the pad', () => {
  it('takes the first tap and not the bounce after it', () => {
    const { tap, wait } = pad();
    expect(tap()).toBe(true);
    wait(349);
    expect(tap()).toBe(false);
    wait(1);
    expect(tap()).toBe(true);
  });

  it('does not count a press that began while shut, however long it is held', () => {
    const { guard, tap, wait } = pad();
    tap();
    wait(100);
    guard.down(1);
    wait(1000);
    guard.up(1);
    expect(guard.take()).toBe(false);
    expect(tap()).toBe(true);
  });

  it('takes nothing while another finger rests on the pad', () => {
    const { guard, wait } = pad();
    guard.down(1);
    guard.down(2);
    guard.up(1);
    expect(guard.take()).toBe(true);
    wait(1000);
    guard.down(3);
    guard.up(3);
    expect(guard.take()).toBe(false);
    guard.up(2);
    guard.down(3);
    guard.up(3);
    expect(guard.take()).toBe(true);
  });

  it('lets a keyboard press through, and waits as long after it', () => {
    const { guard, wait } = pad();
    expect(guard.take()).toBe(true);
    expect(guard.take()).toBe(false);
    wait(350);
    expect(guard.take()).toBe(true);
  });
});
