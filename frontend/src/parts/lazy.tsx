import { type ComponentType, h } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Notice } from './notice.tsx';

/** A part of the app that is fetched when it is first asked for. It is in the worker's keeping long before, so offline it opens too. */
export function lazy<P extends object>(
  fetch: () => Promise<ComponentType<P>>,
): ComponentType<P> & { load: () => Promise<unknown> } {
  let loaded: ComponentType<P> | undefined;
  const load = () =>
    fetch().then((component) => {
      loaded = component;
    });
  function Lazy(props: P) {
    const [state, setState] = useState<'loading' | 'here' | 'missing'>(loaded ? 'here' : 'loading');
    useEffect(() => {
      // It may have come, asked for elsewhere, since this was drawn.
      if (loaded) return setState('here');
      load().then(
        () => setState('here'),
        () => setState('missing'),
      );
    }, []);
    if (loaded) return h(loaded, props);
    if (state === 'missing')
      return (
        <Notice kind="refused">
          <p>This page is not on the phone yet. Open Barnbook once where the house can be reached.</p>
        </Notice>
      );
    return null;
  }
  /** Fetched ahead of the need, so that a question stands at once when it is asked. */
  return Object.assign(Lazy, { load });
}
