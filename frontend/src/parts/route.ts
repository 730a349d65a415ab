/** The address bar as a signal, and plain links followed without asking the house for the page again. */
import { signal } from '@preact/signals';

export const path = signal(typeof location === 'undefined' ? '/' : location.pathname);

let turned = false;
/** Whether a page was turned since the app was opened. */
export const moved = (): boolean => turned;

export function go(to: string, how: 'push' | 'replace' = 'push'): void {
  if (to !== location.pathname) history[how === 'push' ? 'pushState' : 'replaceState'](null, '', to);
  turned = true;
  path.value = to;
  scrollTo(0, 0);
}

export type Params = Record<string, string>;

/** "/cage/:cage" against "/cage/7" gives {cage: "7"}; null when it is another page. */
export function match(pattern: string, address: string): Params | null {
  const wanted = pattern.split('/');
  const given = (address.length > 1 ? address.replace(/\/+$/, '') : address).split('/');
  if (wanted.length !== given.length) return null;
  const params: Params = {};
  for (const [i, part] of wanted.entries()) {
    const there = given[i] ?? '';
    if (part.startsWith(':') && there !== '') params[part.slice(1)] = decodeURIComponent(there);
    else if (part !== there) return null;
  }
  return params;
}

export function followLinks(): void {
  addEventListener('popstate', () => {
    turned = true;
    path.value = location.pathname;
  });
  document.addEventListener('click', (event) => {
    const link = (event.target as Element | null)?.closest?.('a[href]');
    if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute('download')) return;
    if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey)
      return;
    if (link.origin !== location.origin || link.pathname.startsWith('/api/')) return;
    event.preventDefault();
    go(link.pathname);
  });
}
