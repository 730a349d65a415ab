import type { ComponentChildren } from 'preact';
import { Page } from '../../parts/page.tsx';
import { asOf, heard } from './age.ts';

interface Props {
  title: string;
  back?: { href: string; name: string };
  tool?: boolean;
  children: ComponentChildren;
}

/** A page that shows what stands in the book. The one-line head of a tool has no room for what the foot says anyway. */
export function BookPage(props: Props) {
  return (
    <Page {...props} back={props.back ?? { href: '/', name: 'Today' }} age={props.tool ? heard() : asOf()} />
  );
}
