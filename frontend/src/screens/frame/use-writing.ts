import { useState } from 'preact/hooks';

/** Something is being written or asked: one at a time, and what went wrong as a sentence. */
export function useWriting() {
  const [wrong, setWrong] = useState<string | null>(null);
  const [field, setField] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  return {
    wrong,
    /** The field the sentence is about, where it is about one. */
    field,
    busy,
    setWrong(said: string, about: string | null = null) {
      setWrong(said);
      setField(about);
    },
    async run(work: () => Promise<unknown>): Promise<boolean> {
      setBusy(true);
      setWrong(null);
      setField(null);
      try {
        await work();
        return true;
      } catch (error) {
        setWrong(error instanceof Error ? error.message : 'That could not be done. Try once more.');
        const about = (error as { field?: unknown } | null)?.field;
        setField(typeof about === 'string' ? about : null);
        return false;
      } finally {
        setBusy(false);
      }
    },
  };
}
