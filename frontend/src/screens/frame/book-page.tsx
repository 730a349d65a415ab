import type { ComponentChildren } from 'preact';
import { Page } from '../../parts/page.tsx';
import { asOf } from './age.ts';

interface Props {
  title: string;
  back?: { href: string; name: string };
  tool?: boolean;
  children: ComponentChildren;
}

/** A page that shows what stands in the book. */
export function BookPage(props: Props) {
  return <Page {...props} back={props.back ?? { href: '/', name: 'Today' }} age={asOf()} />;
}
