import type { ComponentChildren } from 'preact';
import { lazy } from '../../parts/lazy.tsx';
import { wide } from '../../parts/wide.ts';
import { Foot } from './foot.tsx';
import './frame.css';

const Contents = lazy(() => import('./contents.tsx').then((m) => m.Contents));

/** The book lying open: contents at its side where there is room, the page, and the line at its foot. */
export function Frame({ children, bare = false }: { children: ComponentChildren; bare?: boolean }) {
  const beside = wide.value && !bare;
  return (
    <div class="frame" data-beside={beside || undefined}>
      {beside && (
        <div class="contents-place">
          <Contents beside />
        </div>
      )}
      <div class="leaf" data-bare={bare || undefined}>
        <main>{children}</main>
        {!bare && <Foot />}
      </div>
    </div>
  );
}
