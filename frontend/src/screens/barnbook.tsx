/** Which page stands in the address bar, or the door before it. The egg round is in the first download; the rest comes when asked
 *  for (and is in the worker's keeping before it is). */
import { house, me, opened, storage } from '../book/index.ts';
import { lazy } from '../parts/lazy.tsx';
import { match, path } from '../parts/route.ts';
import { EggRound } from './egg-round/egg-round.tsx';
import { Frame } from './frame/frame.tsx';

const Today = lazy(() => import('./today/today.tsx').then((m) => m.Today));
const FarPages = lazy(() => import('./far-pages.tsx').then((m) => m.FarPages));
const SignIn = lazy(() => import('./door/sign-in.tsx').then((m) => m.SignIn));
const Unclaimed = lazy(() => import('./door/unclaimed.tsx').then((m) => m.Unclaimed));
const NotOpening = lazy(() => import('./door/not-opening.tsx').then((m) => m.NotOpening));

const ROUNDS = ['/round', '/round/of/:round', '/round/:cage'];
/** A page before anybody has signed in: no contents, no foot line. */
const bare = (address: string) => /^\/(begin\/|join\/|sign-in$)/.test(address);

// Fetched beside the reading of the book, so that it does not wait for it.
if (path.peek() === '/') void Today.load().catch(() => {});

/** A phone that has a person's book never waits at the door. */
export function Barnbook() {
  const address = path.value;
  if (bare(address))
    return (
      <Frame bare>
        <FarPages address={address} />
      </Frame>
    );
  if (!opened.value || me.value === null) return <Door />;
  return (
    <Frame>
      <Draw address={address} />
    </Frame>
  );
}

function Draw({ address }: { address: string }) {
  if (address === '/') return <Today />;
  for (const pattern of ROUNDS) {
    const params = match(pattern, address);
    if (params) return <EggRound key={address} {...params} />;
  }
  return <FarPages address={address} />;
}

/** Before the book is read nothing is said to be missing; a store that cannot be read is said at once. */
function Door() {
  const { problem } = storage.value;
  const said = problem ? (
    <NotOpening problem={problem} />
  ) : !opened.value ? null : house.value !== null && !house.value.claimed ? (
    <Unclaimed />
  ) : (
    <SignIn />
  );
  return <Frame bare>{said}</Frame>;
}
