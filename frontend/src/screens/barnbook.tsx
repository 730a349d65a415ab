import { h } from 'preact';
import { house, me, opened, storage } from '../book/index.ts';
import { Notice } from '../parts/notice.tsx';
import { Page } from '../parts/page.tsx';
import { match, path } from '../parts/route.ts';
import { Frame } from './frame/frame.tsx';
import { PAGES, SignIn, Unclaimed } from './routes.tsx';

/** The page in the address bar, or the door before it. A phone that has a person's book never waits at the door. */
export function Barnbook() {
  for (const page of PAGES) {
    const params = match(page.pattern, path.value);
    if (!params) continue;
    const bare = page.bare ?? false;
    if (!bare && (!opened.value || me.value === null)) return <Door />;
    return <Frame bare={bare}>{h(page.draw, { ...params, key: path.value })}</Frame>;
  }
  return (
    <Frame bare={me.value === null}>
      <Page title="No such page" back={{ href: '/', name: 'Today' }}>
        <p>Nothing in the book stands at {path.value}.</p>
      </Page>
    </Frame>
  );
}

/** Before the book is read nothing is said to be missing; a store that cannot be read is said at once. */
function Door() {
  const { problem } = storage.value;
  if (problem !== undefined)
    return (
      <Frame bare>
        <Page title="The book does not open">
          <Notice kind="refused">
            <p>{problem}</p>
          </Notice>
        </Page>
      </Frame>
    );
  if (!opened.value) return <Frame bare>{null}</Frame>;
  return <Frame bare>{house.value !== null && !house.value.claimed ? <Unclaimed /> : <SignIn />}</Frame>;
}
