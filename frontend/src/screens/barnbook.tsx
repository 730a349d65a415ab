import { h } from 'preact';
import { house, link, me, opened } from '../book/index.ts';
import { Page } from '../parts/page.tsx';
import { match, path } from '../parts/route.ts';
import { Frame } from './frame/frame.tsx';
import { PAGES, SignIn, Unclaimed } from './routes.tsx';

/** The page in the address bar, or the door before it. A phone that has a person's book never waits at the door. */
export function Barnbook() {
  for (const page of PAGES) {
    const params = match(page.pattern, path.value);
    if (!params) continue;
    if (!page.bare && me.value === null) return <Door />;
    return (
      <Frame bare={page.bare ?? false}>
        {opened.value || page.bare ? h(page.draw, { ...params, key: path.value }) : null}
      </Frame>
    );
  }
  return (
    <Frame bare={me.value === null}>
      <Page title="No such page" back={{ href: '/', name: 'Today' }}>
        <p>Nothing in the book stands at {path.value}.</p>
      </Page>
    </Frame>
  );
}

function Door() {
  if (!opened.value && house.value === null && link.value.state === 'never')
    return <Frame bare>{null}</Frame>;
  return <Frame bare>{house.value !== null && !house.value.claimed ? <Unclaimed /> : <SignIn />}</Frame>;
}
