import { useState } from 'preact/hooks';
import { type Bodies, type LineRow, me, type Prices, refusal, today, write } from '../../book/index.ts';
import type { WaitingPage } from '../../book/waiting-page.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { PickField, TextField } from '../../parts/field.tsx';
import { FigureLine } from '../../parts/figure-line.tsx';
import { WriteOrLeave } from '../../parts/write-or-leave.tsx';
import { typedAmount } from '../frame/typed.ts';
import { useWriting } from '../frame/use-writing.ts';

const SOLD: Record<Prices['sold_by'], string> = {
  live_kg: 'by the kg alive',
  dressed_kg: 'by the kg dressed',
  bird: 'by the bird',
};

export function PricesOf({ line, page }: { line: LineRow; page: WaitingPage }) {
  const [open, setOpen] = useState(false);
  const prices = line.prices ?? null;
  const newer = prices !== null && JSON.stringify(prices) !== JSON.stringify(page.prices);
  return (
    <>
      {prices === null ? (
        <p>Nobody has said what feed costs and what a bird brings: without that nothing can be weighed up.</p>
      ) : (
        <p>
          Feed {prices.feed_per_kg} {prices.currency} a kg; a cock eats {prices.cock_feed_g_a_day} g a day, a
          hen {prices.hen_feed_g_a_day} g. Birds are sold {SOLD[prices.sold_by]} at {prices.price}{' '}
          {prices.currency}. Labour {prices.labour_a_bird_day}, the place {prices.place_a_bird_day}{' '}
          {prices.currency} a bird and day. As you said on {showDay(prices.told_on, today.value)}.
        </p>
      )}
      {page.feed_bought && (
        <p class="quiet">
          Feed last bought at {page.feed_bought.per_kg.toFixed(2)} {page.feed_bought.currency} a kg,{' '}
          {showDay(page.feed_bought.bought_on, today.value)}.
        </p>
      )}
      {page.dressing && (
        <FigureLine name="Dressed of live weight" figure={page.dressing} today={today.value} />
      )}
      {newer && <p class="quiet">The house reckons with what was just said at the next trip.</p>}
      {me.value?.role === 'owner' && !open && (
        <Button onClick={() => setOpen(true)}>
          {prices === null ? 'Say your prices' : 'Change your prices'}
        </Button>
      )}
      {open && <PricesForm line={line} bought={page.feed_bought ?? null} done={() => setOpen(false)} />}
    </>
  );
}

const NUMBERS = [
  'feed_per_kg',
  'cock_feed_g_a_day',
  'hen_feed_g_a_day',
  'price',
  'labour_a_bird_day',
  'place_a_bird_day',
] as const;
type Numbers = (typeof NUMBERS)[number];

const LABELS: Record<Numbers, string> = {
  feed_per_kg: 'Feed, a kg',
  cock_feed_g_a_day: 'A cock eats, g a day',
  hen_feed_g_a_day: 'A hen eats, g a day',
  price: 'A kg or a bird brings',
  labour_a_bird_day: 'Labour, a bird and day',
  place_a_bird_day: 'The place, a bird and day',
};

interface FormProps {
  line: LineRow;
  bought: WaitingPage['feed_bought'] | null;
  done: () => void;
}

function PricesForm({ line, bought, done }: FormProps) {
  const now = line.prices ?? null;
  const proposed = (name: Numbers) =>
    String(now?.[name] ?? (name === 'feed_per_kg' ? (bought?.per_kg.toFixed(2) ?? '') : ''));
  const [typed, setTyped] = useState<Record<Numbers, string>>(
    () => Object.fromEntries(NUMBERS.map((name) => [name, proposed(name)])) as Record<Numbers, string>,
  );
  const [currency, setCurrency] = useState(now?.currency ?? bought?.currency ?? '');
  const [sold_by, setSoldBy] = useState<Prices['sold_by']>(now?.sold_by ?? 'live_kg');
  const { wrong, busy, run, setWrong } = useWriting();
  const number = (name: Numbers): number => {
    const text = typed[name].trim();
    return text === '' && name.endsWith('a_bird_day') ? 0 : typedAmount(text);
  };
  const keep = () => {
    const body: Bodies['prices_told'] = {
      line: line.id,
      currency: currency.trim(),
      feed_per_kg: number('feed_per_kg'),
      cock_feed_g_a_day: number('cock_feed_g_a_day'),
      hen_feed_g_a_day: number('hen_feed_g_a_day'),
      sold_by,
      price: number('price'),
      labour_a_bird_day: number('labour_a_bird_day'),
      place_a_bird_day: number('place_a_bird_day'),
      note: '',
    };
    const empty = NUMBERS.find((name) => Number.isNaN(body[name]));
    const no = refusal('prices_told', body);
    if (empty) setWrong(`${LABELS[empty]}: type a number, 0 or more.`);
    else if (no) setWrong(no.detail);
    else void run(() => write('prices_told', body)).then((kept) => kept && done());
  };
  return (
    <div class="stack">
      <div class="side-by-side">
        <TextField label="Currency" value={currency} onText={setCurrency} maxLength={8} />
        <PickField
          label="Birds are sold"
          value={sold_by}
          options={Object.entries(SOLD).map(([value, name]) => ({ value, name }))}
          onPick={(to) => setSoldBy(to as Prices['sold_by'])}
        />
      </div>
      <div class="side-by-side">
        {NUMBERS.map((name) => (
          <TextField
            key={name}
            label={LABELS[name]}
            value={typed[name]}
            inputMode="decimal"
            onText={(text) => setTyped({ ...typed, [name]: text })}
          />
        ))}
      </div>
      <p class="quiet">
        Best is to weigh what a pen eats in a week. As read: 21 to 28 g a day in week 5 and 30 to 36 g in week
        6 in a meat line (Indian J. Anim. Res. BF-1579); 20 to 25 g for a laying hen.
      </p>
      <WriteOrLeave wrong={wrong} busy={busy} onWrite={keep} onLeave={done} />
    </div>
  );
}
