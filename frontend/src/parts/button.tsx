import type { ButtonHTMLAttributes, ComponentChildren } from 'preact';
import './button.css';

type Props = Omit<ButtonHTMLAttributes, 'children'> & {
  /** main: the one thing to do here. strike: takes something out of the count. plain: everything else. */
  kind?: 'main' | 'plain' | 'strike' | 'quiet';
  children: ComponentChildren;
};

export function Button({ kind = 'plain', type = 'button', children, ...rest }: Props) {
  return (
    <button type={type} {...rest} class={`button ${kind}`}>
      {children}
    </button>
  );
}
