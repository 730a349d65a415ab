import type { ComponentChildren } from 'preact';
import './notice.css';

/** A slip pasted into the page. `refused` is for what went wrong or must be done; `plain` for what is good to know. */
export function Notice({
  kind = 'plain',
  children,
}: {
  kind?: 'plain' | 'refused';
  children: ComponentChildren;
}) {
  return (
    <div class={`notice ${kind}`} role={kind === 'refused' ? 'alert' : undefined}>
      {children}
    </div>
  );
}
