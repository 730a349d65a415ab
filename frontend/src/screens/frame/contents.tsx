import { me } from '../../book/index.ts';
import { path } from '../../parts/route.ts';
import './contents.css';

interface Chapter {
  href: string;
  name: string;
  /** Addresses under this chapter begin so. */
  under: string[];
}

interface Part {
  name: string;
  chapters: Chapter[];
}

const PARTS: Part[] = [
  {
    name: 'In the barn',
    chapters: [
      { href: '/', name: 'Today', under: [] },
      { href: '/round', name: 'Egg round', under: ['/round'] },
      { href: '/weigh-eggs', name: 'Egg weighing', under: ['/weigh-eggs'] },
      { href: '/hatch-room', name: 'Hatch room', under: ['/hatch-room', '/setting/'] },
      { href: '/sexing', name: 'Sexing day', under: ['/sexing'] },
      { href: '/weigh-birds', name: 'Weigh day', under: ['/weigh-birds'] },
    ],
  },
  {
    name: 'Eggs out',
    chapters: [
      { href: '/store', name: 'Egg store', under: ['/store'] },
      { href: '/orders', name: 'Orders', under: ['/order', '/shipment/'] },
    ],
  },
  {
    name: 'What stands',
    chapters: [
      { href: '/cages', name: 'Cages', under: ['/cage'] },
      { href: '/broods', name: 'Broods', under: ['/brood', '/bird/'] },
      { href: '/lines', name: 'Lines', under: ['/line'] },
    ],
  },
  {
    name: 'At the house',
    chapters: [
      { href: '/laying', name: 'Laying', under: ['/laying'] },
      { href: '/hatching', name: 'Hatching', under: ['/hatching'] },
      { href: '/choosing', name: 'Choosing', under: ['/choosing'] },
      { href: '/mating', name: 'Mating', under: ['/mating'] },
      { href: '/ahead', name: 'Ahead', under: ['/ahead'] },
      { href: '/wait-or-process', name: 'Wait or process', under: ['/wait-or-process'] },
      { href: '/costs', name: 'Costs', under: ['/costs'] },
      { href: '/true-to-type', name: 'True to type', under: ['/true-to-type'] },
      { href: '/sheets', name: 'Line sheets', under: ['/sheets'] },
    ],
  },
  { name: 'The book', chapters: [{ href: '/set-up', name: 'Set-up', under: ['/set-up'] }] },
];

const here = (c: Chapter) => path.value === c.href || c.under.some((u) => path.value.startsWith(u));

/** The contents of the book: beside the page where there is room, at the end of Today where there is not. */
export function Contents({ beside = false }: { beside?: boolean }) {
  return (
    <nav class="contents" data-beside={beside || undefined} aria-label="Contents">
      {beside && <p class="name">{me.value?.farm.name ?? 'Barnbook'}</p>}
      {PARTS.map((part) => (
        <section key={part.name} aria-label={part.name}>
          <p class="part">{part.name}</p>
          <ul>
            {part.chapters
              .filter((c) => beside || c.href !== '/')
              .map((c) => (
                <li key={c.href}>
                  <a href={c.href} aria-current={here(c) ? 'page' : undefined}>
                    {c.name}
                  </a>
                </li>
              ))}
          </ul>
        </section>
      ))}
    </nav>
  );
}
