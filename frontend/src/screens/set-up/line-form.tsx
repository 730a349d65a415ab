import { useState } from 'preact/hooks';
import { type Bodies, farm, lines, newId, refusal, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, LongField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { GRAMS_PER_OUNCE, toGrams, typedNumber } from '../../parts/weight.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { classesOf, LineMore, moreOf } from './line-more.tsx';
import { OwnersOnly } from './owners-only.tsx';

const FIELDS = [
  'name',
  'egg_low_g',
  'egg_high_g',
  'weighing_age_days',
  'sexing_from_day',
  'sexing_to_day',
  'plumage',
  'candle_on_day',
  'lockdown_on_day',
  'hatch_on_day',
  'cock_cut_g',
  'hen_cut_g',
  'laying_life_weeks',
  'hen_breeding_weeks',
  'cock_breeding_weeks',
  'storage_limit_days',
];

/** A line: what it is called and what its birds and eggs are measured by. `new` makes one. */
export function LineForm({ line: id }: Params) {
  const now = lines.value.find((l) => l.id === id);
  const unit = farm.value?.weight_unit ?? 'g';
  const shown = (grams: number | null | undefined) =>
    grams === null || grams === undefined
      ? ''
      : unit === 'oz'
        ? (grams / GRAMS_PER_OUNCE).toFixed(2)
        : String(grams);
  const [name, setName] = useState(now?.name ?? '');
  const [others, setOthers] = useState(now?.other_names.join(', ') ?? '');
  const [low, setLow] = useState(shown(now?.egg_low_g));
  const [high, setHigh] = useState(shown(now?.egg_high_g));
  const [weighing, setWeighing] = useState(now?.weighing_age_days ?? 56);
  const [from, setFrom] = useState(now?.sexing_from_day ?? 42);
  const [to, setTo] = useState(now?.sexing_to_day ?? 56);
  const [more, setMore] = useState(() => moreOf(now, shown));
  const [note, setNote] = useState(now?.note ?? '');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);

  /** A band left as it was shown stays to the gram as it was. */
  const grams = (text: string, before: number | null | undefined) => {
    if (text.trim() === '') return null;
    if (text === shown(before)) return before ?? null;
    const n = typedNumber(text);
    return n === null ? Number.NaN : toGrams(n, unit);
  };

  const keep = () => {
    const body: Bodies['line'] = {
      line: now?.id ?? newId(),
      name: name.trim(),
      other_names: others
        .split(',')
        .map((n) => n.trim())
        .filter(Boolean),
      egg_low_g: grams(low, now?.egg_low_g),
      egg_high_g: grams(high, now?.egg_high_g),
      weighing_age_days: weighing,
      sexing_from_day: from,
      sexing_to_day: to,
      plumage: classesOf(more.plumage, now?.plumage ?? []),
      candle_on_day: more.candle === 0 ? null : more.candle,
      lockdown_on_day: more.lockdown,
      hatch_on_day: more.hatch,
      cock_cut_g: grams(more.cock_cut, now?.cock_cut_g),
      hen_cut_g: grams(more.hen_cut, now?.hen_cut_g),
      laying_life_weeks: more.laying_life || null,
      hen_breeding_weeks: more.hen_breeding || null,
      cock_breeding_weeks: more.cock_breeding || null,
      storage_limit_days: more.storage,
      note,
    };
    const no = refusal('line', body);
    if (no) setWrong(no.detail, no.field);
    else void run(() => write('line', body)).then((done) => done && go(`/line/${body.line}`, 'replace'));
  };

  return (
    <BookPage
      title={now ? `Line ${now.name}` : 'A new line'}
      back={now ? { href: `/line/${now.id}`, name: now.name } : { href: '/lines', name: 'Lines' }}
    >
      <OwnersOnly>
        <div class="spread">
          <section class="stack">
            <TextField label="Name" value={name} onText={setName} maxLength={80} wrong={at('name')} />
            <TextField
              label="Other names it is sold under"
              value={others}
              onText={setOthers}
              hint="With commas between them; may be left empty."
              wrong={at('other_names')}
            />
            <LongField label="Note" value={note} onText={setNote} />
          </section>
          <section class="stack">
            <div class="side-by-side">
              <TextField
                label={`Eggs from, ${unit}`}
                value={low}
                onText={setLow}
                inputMode="decimal"
                wrong={at('egg_low_g')}
              />
              <TextField
                label={`to, ${unit}`}
                value={high}
                onText={setHigh}
                inputMode="decimal"
                wrong={at('egg_high_g')}
              />
            </div>
            <CountField
              label="Weighing age, days"
              value={weighing}
              onCount={setWeighing}
              wrong={at('weighing_age_days')}
            />
            <CountField
              label="Sexing from day"
              value={from}
              onCount={setFrom}
              wrong={at('sexing_from_day')}
            />
            <CountField label="Sexing to day" value={to} onCount={setTo} wrong={at('sexing_to_day')} />
            <div class="side-by-side">
              <TextField
                label={`Cocks kept from, ${unit}`}
                value={more.cock_cut}
                onText={(cock_cut) => setMore({ ...more, cock_cut })}
                inputMode="decimal"
                wrong={at('cock_cut_g')}
              />
              <TextField
                label={`Hens kept from, ${unit}`}
                value={more.hen_cut}
                onText={(hen_cut) => setMore({ ...more, hen_cut })}
                inputMode="decimal"
                wrong={at('hen_cut_g')}
              />
            </div>
            <small class="quiet">
              The cut weight at the weighing age; left empty, no bird is said to be over or under.
            </small>
          </section>
        </div>
        <LineMore more={more} onMore={setMore} at={at} />
        {wrong !== null && !FIELDS.includes(field ?? '') && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <Button kind="main" disabled={busy || name.trim() === ''} onClick={keep}>
          Write it down
        </Button>
      </OwnersOnly>
    </BookPage>
  );
}
