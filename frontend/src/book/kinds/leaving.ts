/** What birds that die, are sold or processed leave behind them in the rows. */
import type { Gone, Id, TakenFrom } from '../contract.ts';
import { type Barn, birdOf, moveHeads, putRow, TALLY, total, type Written } from './barn.ts';

/** Takes them out of their cage or brood (or puts them back, with times = -1). */
export function leave(
  barn: Barn,
  { day, body }: Written<TakenFrom>,
  { how, times }: { how: Gone; times: 1 | -1 },
): void {
  if (body.cage !== null) moveHeads(barn, body.cage, body, day, times === 1 ? -1 : 1);
  for (const [id, birds] of byBrood(body)) {
    // Of birds out of a cage only the named are known to be of this brood.
    const all = body.brood === id ? total(body) : birds.length;
    const sexed = birds.filter((bird) => birdOf(barn, bird, id).looked_on !== null).length;
    const brood = barn.broods.get(id);
    if (brood) {
      const seen = Math.max(0, brood.alive - brood.unlooked);
      const known = Math.min(all, seen, Math.max(sexed, Math.min(all, body.hens + body.cocks)));
      putRow(barn.broods, id, {
        alive: brood.alive - times * all,
        unlooked: brood.unlooked - times * (all - known),
        placed: brood.placed - (body.cage === null ? 0 : times * all),
      });
    }
    for (const bird of birds) go(barn, birdOf(barn, bird, id), times === 1 ? how : null, day);
  }
}

function byBrood({ brood, birds }: TakenFrom): Map<Id, Id[]> {
  const found = new Map<Id, Id[]>(brood === null ? [] : [[brood, []]]);
  for (const each of birds) found.set(each.brood, [...(found.get(each.brood) ?? []), each.bird]);
  return found;
}

function go(barn: Barn, bird: ReturnType<typeof birdOf>, gone: Gone | null, day: string): void {
  barn.birds.set(bird.id, { ...bird, gone, gone_on: gone && day });
  const brood = barn.broods.get(bird.brood);
  if (!brood || bird.sex === 'unsexed' || (gone === null) === (bird.gone === null)) return;
  const tally = TALLY[bird.sex];
  putRow(barn.broods, brood.id, { [tally]: brood[tally] + (gone === null ? 1 : -1) });
}
