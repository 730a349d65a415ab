import { useEffect, useState } from 'preact/hooks';
import { type HatchReport, lines, me, type ShipmentRow, today, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { lineName } from './now.ts';

type Said = HatchReport['lines'][number];

/** What came of a shipment, as the customer says: read by everybody of the farm, answered for by the owner. */
export function ReportOf({ shipment }: { shipment: ShipmentRow }) {
  const report = shipment.report ?? null;
  const owner = me.value?.role === 'owner';
  const told = report !== null && report.lines.length > 0;
  if (shipment.sent_on === null && !told) return null;
  return (
    <section class="stack">
      <h2>How they hatched</h2>
      {!told && <p class="quiet">Nothing is told yet.</p>}
      {told && (
        <>
          <p class="quiet">
            {report.by_customer ? 'By the customer' : 'From the reply slip'},{' '}
            {showDay(report.last_on ?? '', today.value)}
            {report.times > 1 && `, told ${report.times} times`}.
          </p>
          <Ledger narrow label="What was told, by line">
            {report.lines.map((said) => (
              <Row key={said.line} margin={<b>{said.hatched ?? '–'}</b>}>
                <strong>{lineName(said.line)}</strong>
                <span>{numbersOf(said)}</span>
                {said.chicks.length > 0 && <small>{looksOf(said)}</small>}
              </Row>
            ))}
          </Ledger>
        </>
      )}
      {report?.contradicts && (
        <Notice kind="refused">
          <p>
            This has more eggs than were sent, or a line that was not in the box: it is in no figure until
            that is settled.
          </p>
        </Notice>
      )}
      {report !== null && report.aside_on !== null && (
        <Notice>
          <p>
            Set aside {showDay(report.aside_on, today.value)}: {report.aside_why} It is in no figure; strike
            that entry below and it counts again.
          </p>
        </Notice>
      )}
      {report !== null && report.closed_on !== null && (
        <p class="quiet">Closed {showDay(report.closed_on, today.value)}: the link takes no more.</p>
      )}
      {owner && <Remark shipment={shipment.id} told={report?.times ?? 0} />}
      {owner && <Answer shipment={shipment} />}
    </section>
  );
}

const numbersOf = ({ broken, set, clear, hatched }: Said): string =>
  [
    hatched !== null && `${amount(hatched, 'chick')}`,
    set !== null && `${set} set`,
    clear !== null && `${clear} clear`,
    broken !== null && `${broken} arrived broken`,
  ]
    .filter((part) => part !== false)
    .join(', ') || 'nothing said yet';

function looksOf({ line, chicks }: Said): string {
  const classes = lines.value.find((l) => l.id === line)?.plumage ?? [];
  return chicks
    .map((c) => `${c.chicks} ${classes.find((p) => p.key === c.plumage)?.words ?? c.plumage ?? 'other'}`)
    .join(', ');
}

/** The customer's own words: at the house alone, asked for each time. */
function Remark({ shipment, told }: { shipment: string; told: number }) {
  const [text, setText] = useState('');
  useEffect(() => {
    let here = true;
    import('../../book/trip/report-link.ts')
      .then(({ remarkOf }) => remarkOf(shipment))
      .then(
        (said) => here && setText(said),
        () => {}, // without signal there is none to read
      );
    return () => {
      here = false;
    };
  }, [shipment, told]);
  if (text === '') return null;
  return (
    <blockquote>
      <p>“{text}”</p>
      <small class="quiet">The customer's remark, kept at the house for the owner alone.</small>
    </blockquote>
  );
}

function Answer({ shipment }: { shipment: ShipmentRow }) {
  const [setting, setSetting] = useState(false);
  const { wrong, busy, run } = useWriting();
  const report = shipment.report ?? null;
  const told = report !== null && report.lines.length > 0;
  return (
    <>
      <a class="button" href={`/shipment/${shipment.id}/report`}>
        {told ? 'Correct it from a reply slip' : 'Type in a reply slip'}
      </a>
      {told && report.aside_on === null && <Button onClick={() => setSetting(true)}>Set it aside</Button>}
      {(report === null || report.closed_on === null) && (
        <Button
          disabled={busy}
          onClick={() => void run(() => write('hatch_report_closed', { shipment: shipment.id }))}
        >
          Close the report
        </Button>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      {setting && <Aside shipment={shipment.id} onClose={() => setSetting(false)} />}
    </>
  );
}

function Aside({ shipment, onClose }: { shipment: string; onClose: () => void }) {
  const [why, setWhy] = useState('');
  const { wrong, busy, run } = useWriting();
  const keep = () =>
    void run(() => write('hatch_report_aside', { shipment, why: why.trim() })).then(
      (done) => done && onClose(),
    );
  return (
    <Sheet title="Set the report aside" onClose={onClose}>
      <p>It stays readable and is in no figure. The figures say how many were set aside.</p>
      <TextField
        label="Why"
        value={why}
        onText={setWhy}
        maxLength={200}
        hint="The incubator failed on day 9, for instance. A bad hatch alone is no reason. Name nobody."
      />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || why.trim() === ''} onClick={keep}>
        Set it aside
      </Button>
    </Sheet>
  );
}
