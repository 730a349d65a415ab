import type { ComponentChildren } from 'preact';
import { me } from '../../book/index.ts';

export function OwnersOnly({ children }: { children: ComponentChildren }) {
  if (me.value?.role === 'owner') return <>{children}</>;
  return <p>This is set up by the owner.</p>;
}
