import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Mark } from './mark.tsx';
import './page.css';
import { moved } from './route.ts';

interface Props {
  title: string;
  /** Where the page was opened from, when that is not plain. */
  back?: { href: string; name: string };
  /** How old what stands here is. */
  age?: ComponentChildren;
  /** A page to work on with the thumb: its head is one line, so that the pad stands on the first screen. */
  tool?: boolean;
  children: ComponentChildren;
}

/** A page of the book: a title over a double rule, and how old it is. */
export function Page({ title, back, age, tool = false, children }: Props) {
  useEffect(() => {
    document.title = title === 'Today' ? 'Barnbook' : `${title} – Barnbook`;
  }, [title]);
  const heading = useRef<HTMLHeadingElement>(null);
  // A page turned is a page read from its title: for those who hear it, and for the next Tab.
  useEffect(() => {
    if (moved()) heading.current?.focus({ preventScroll: true });
  }, []);
  return (
    <>
      <header class="page-head" data-tool={tool || undefined}>
        {back && (
          <a class="page-back" href={back.href}>
            <Mark name="back" size={22} />
            <span class={tool ? 'only-read' : undefined}>{back.name}</span>
          </a>
        )}
        <h1 ref={heading} tabIndex={-1}>
          {title}
        </h1>
        {age !== undefined && <p class="page-age">{age}</p>}
      </header>
      <div class="page-body" data-tool={tool || undefined}>
        {children}
      </div>
    </>
  );
}
