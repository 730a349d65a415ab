import { useState } from 'preact/hooks';
import { newId } from '../../book/index.ts';
import type { Customer } from '../../book/trip/customers.ts';
import { Button } from '../../parts/button.tsx';
import { LongField, TextField } from '../../parts/field.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  now?: Customer | undefined;
  onKept: (kept: Customer) => void;
}

/** The fields of somebody; kept at the house, so it is needed for keeping. */
export function CustomerForm({ now, onKept }: Props) {
  const [id] = useState(now?.id ?? newId());
  const [name, setName] = useState(now?.name ?? '');
  const [contact, setContact] = useState(now?.contact ?? '');
  const [remarks, setRemarks] = useState(now?.remarks ?? '');
  const { wrong, field, busy, run } = useWriting();
  const keep = () =>
    run(async () => {
      const { keepCustomer } = await import('../../book/trip/customers.ts');
      onKept(await keepCustomer(id, { name: name.trim(), contact: contact.trim(), remarks }));
    });
  const at = (f: string) => (field === f ? wrong : null);
  return (
    <section class="stack">
      <TextField label="Name" value={name} onText={setName} maxLength={120} wrong={at('name')} />
      <TextField
        label="Contact"
        value={contact}
        onText={setContact}
        maxLength={500}
        hint="An address, a number, whatever reaches them. Only what you need."
        wrong={at('contact')}
      />
      <LongField label="Remarks" value={remarks} onText={setRemarks} wrong={at('remarks')} />
      {wrong !== null && field === null && (
        <p class="late" role="alert">
          {wrong} Nothing was kept.
        </p>
      )}
      <Button kind="main" disabled={busy || name.trim() === ''} onClick={() => void keep()}>
        Keep
      </Button>
    </section>
  );
}
