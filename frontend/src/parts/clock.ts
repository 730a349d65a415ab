/** The time now, moving on its own so that "3 min ago" does not grow stale on a page that stays open. */
import { signal } from '@preact/signals';

export const now_ms = signal(Date.now());

const tick = () => {
  now_ms.value = Date.now();
};
if (typeof document !== 'undefined') {
  setInterval(tick, 30_000);
  document.addEventListener('visibilitychange', tick);
}
