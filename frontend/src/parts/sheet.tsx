import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { Mark } from './mark';
import './sheet.css';

interface Props {
  title: string;
  onClose: () => void;
  children: ComponentChildren;
  /** A question that must be answered by its own buttons has no corner to close it by; Escape still does. */
  question?: boolean;
}

/** A loose leaf laid over the page: for what is beside the count, and for questions. */
export function Sheet({ title, onClose, children, question = false }: Props) {
  const leaf = useRef<HTMLDialogElement>(null);
  const heading = useId();

  useEffect(() => {
    const dialog = leaf.current;
    if (dialog && !dialog.open) dialog.showModal();
    return () => dialog?.close();
  }, []);

  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: Escape does the same, by the dialog itself
    <dialog
      ref={leaf}
      class="sheet"
      aria-labelledby={heading}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
      onClick={(event) => {
        if (event.target === leaf.current && !question) onClose();
      }}
    >
      <div class="sheet-body">
        <header>
          <h2 id={heading}>{title}</h2>
          {!question && (
            <button type="button" class="corner" aria-label="Close" onClick={onClose}>
              <Mark name="cross" />
            </button>
          )}
        </header>
        {children}
      </div>
    </dialog>
  );
}
