/** Whether there is room for two pages side by side. The same width stands in page.css. */
import { signal } from '@preact/signals';

const query = typeof matchMedia === 'undefined' ? null : matchMedia('(min-width: 60rem)');
export const wide = signal(query?.matches ?? false);
query?.addEventListener?.('change', (event) => {
  wide.value = event.matches;
});
