import { useState } from 'preact/hooks';
import type { Role } from '../../book/index.ts';
import { change, type Somebody } from '../../book/trip/house-people.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { ROLES } from './roles.ts';

interface Props {
  who: Somebody;
  onClose: () => void;
  onDone: () => void;
  onCode: (forgot: boolean) => void;
}

/** Somebody's name and role; a code for a phone of theirs; taking them off the book. */
export function SomebodySheet({ who, onClose, onDone, onCode }: Props) {
  const [name, setName] = useState(who.name);
  const [role, setRole] = useState<Role>(who.role);
  const { wrong, busy, run } = useWriting();
  const keep = (active: boolean) =>
    run(async () => {
      await change(who.id, { name: name.trim(), role, active });
      onDone();
    });
  const same = name.trim() === who.name && role === who.role;
  return (
    <Sheet title={who.name} onClose={onClose}>
      <TextField label="Name" value={name} onText={setName} required wrong={wrong} />
      <Choice
        label="As"
        stacked
        value={role}
        onChoose={setRole}
        options={(Object.keys(ROLES) as Role[]).map((value) => ({ value, ...ROLES[value] }))}
      />
      <Button kind="main" disabled={busy || same || name.trim() === ''} onClick={() => keep(who.active)}>
        Save
      </Button>
      {who.active && <Button onClick={() => onCode(false)}>Bring in a phone</Button>}
      {who.active && who.signs_in && <Button onClick={() => onCode(true)}>They forgot their password</Button>}
      <Button kind={who.active ? 'strike' : 'plain'} disabled={busy} onClick={() => keep(!who.active)}>
        {who.active ? 'Take off the book' : 'Back on the book'}
      </Button>
    </Sheet>
  );
}
