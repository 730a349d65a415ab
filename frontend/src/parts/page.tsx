import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import { Mark } from './mark.tsx';
import './page.css';

interface Props {
  title: string;
  /** Where the page was opened from, when that is not plain. */
  back?: { href: string; name: string };
  /** How old what stands here is. */
  age?: ComponentChildren;
  children: ComponentChildren;
}

/** A page of the book: a title over a double rule, and how old it is. */
export function Page({ title, back, age, children }: Props) {
  useEffect(() => {
    document.title = title === 'Today' ? 'Barnbook' : `${title} – Barnbook`;
  }, [title]);
  return (
    <>
      <header class="page-head">
        {back && (
          <a class="page-back" href={back.href}>
            <Mark name="back" size={22} />
            {back.name}
          </a>
        )}
        <h1>{title}</h1>
        {age !== undefined && <p class="page-age">{age}</p>}
      </header>
      <div class="page-body">{children}</div>
    </>
  );
}
