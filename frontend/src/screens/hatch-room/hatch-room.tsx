import { lines, me, settings, today, trays } from '../../book/index.ts';
import { showDistance } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { byNext, daysOf, dayWords, STEP_WORDS, traysIn, whereIs } from './steps.ts';

const DONE_SHOWN = 10;

/** Every setting by what is next. */
export function HatchRoom() {
  const list = byNext(
    [...settings.value.values()].map((setting) => ({
      setting,
      where: whereIs(setting, daysOf(traysIn(trays.value, setting.id), lines.value), today.value),
    })),
  );
  const open = list.filter((each) => each.where.next !== 'done');
  const done = list.filter((each) => each.where.next === 'done').slice(0, DONE_SHOWN);
  return (
    <BookPage title="Hatch room">
      {me.value?.role !== 'onlooker' && (
        <a class="button main" href="/hatch-room/set">
          Set eggs
        </a>
      )}
      {list.length === 0 && (
        <p>No eggs were set yet. A setting is the eggs put into an incubator together, tray by tray.</p>
      )}
      {open.length > 0 && (
        <Ledger label="Settings, by what is next">
          {open.map(({ setting, where }) => {
            const late = where.next_on !== null && where.next_on < today.value;
            return (
              <Row
                key={setting.id}
                href={`/setting/${setting.id}`}
                margin={
                  <>
                    <b>{where.day}</b>
                    {where.day > where.hatch_on_day
                      ? `past ${where.hatch_on_day}`
                      : `of ${where.hatch_on_day}`}
                  </>
                }
              >
                <strong>
                  {STEP_WORDS[where.next]} {setting.code}
                </strong>
                <span>
                  {where.next === 'chicks'
                    ? `${setting.chicks_seen} of ${setting.hatched} looked at`
                    : `${amount(setting.eggs, 'egg')} in ${amount(setting.trays, 'tray')}`}
                  {setting.incubator !== '' && `, ${setting.incubator}`}
                </span>
                <small>
                  {dayWords(where)}
                  {where.next_on !== null && (
                    <>
                      ;{' '}
                      <span class={late ? 'late' : undefined}>
                        {STEP_WORDS[where.next].toLowerCase()} {showDay(where.next_on, today.value)},{' '}
                        {showDistance(where.next_on, today.value)}
                      </span>
                    </>
                  )}
                </small>
              </Row>
            );
          })}
        </Ledger>
      )}
      {done.length > 0 && (
        <section class="stack">
          <h2>Hatched</h2>
          <Ledger label="Hatched settings, the newest first">
            {done.map(({ setting }) => (
              <Row
                key={setting.id}
                href={`/setting/${setting.id}`}
                margin={<b>{showDay(setting.set_on, today.value)}</b>}
              >
                <strong>{setting.code}</strong>
                <span>
                  {setting.hatched} hatched of {amount(setting.eggs, 'egg')} set
                </span>
              </Row>
            ))}
          </Ledger>
        </section>
      )}
    </BookPage>
  );
}
