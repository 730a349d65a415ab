/** Which address is which page. The egg round and Today are in the first download; the rest comes when asked for. */
import type { ComponentType } from 'preact';
import { lazy } from '../parts/lazy.tsx';
import type { Params } from '../parts/route.ts';
import { EggRound } from './egg-round/egg-round.tsx';
import { Today } from './today/today.tsx';

export interface Page {
  pattern: string;
  draw: ComponentType<Params>;
  /** A page before anybody has signed in: no contents, no foot line. */
  bare?: boolean;
}

const page = (pattern: string, load: () => Promise<unknown>, bare = false): Page => ({
  pattern,
  draw: lazy(load as () => Promise<ComponentType<Params>>),
  bare,
});

export const PAGES: Page[] = [
  { pattern: '/', draw: Today },
  { pattern: '/round', draw: EggRound },
  { pattern: '/round/of/:round', draw: EggRound },
  { pattern: '/round/:cage', draw: EggRound },
  page('/outbox', () => import('./outbox/outbox.tsx').then((m) => m.OutboxScreen)),
  page('/sexing', () => import('./sexing-day/sexing-day.tsx').then((m) => m.SexingDay)),
  page('/sexing/:brood', () => import('./sexing-day/brood-sexing.tsx').then((m) => m.BroodSexing)),
  page('/weigh-eggs', () => import('./weighing/pick-cage.tsx').then((m) => m.PickCage)),
  page('/weigh-eggs/:cage', () => import('./weighing/egg-weighing.tsx').then((m) => m.EggWeighing)),
  page('/weigh-birds', () => import('./weighing/pick-brood.tsx').then((m) => m.PickBrood)),
  page('/weigh-birds/:brood', () => import('./weighing/bird-weighing.tsx').then((m) => m.BirdWeighing)),
  page('/begin/:token', () => import('./door/begin.tsx').then((m) => m.Begin), true),
  page('/sign-in', () => import('./door/sign-in.tsx').then((m) => m.SignIn), true),
];

export const SignIn = lazy(() => import('./door/sign-in.tsx').then((m) => m.SignIn));
export const Unclaimed = lazy(() => import('./door/unclaimed.tsx').then((m) => m.Unclaimed));
