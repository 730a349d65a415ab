// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import { path } from '../../parts/route.ts';
import * as barn from '../testing/a-barn.ts';
import { Begin } from './begin.tsx';
import { SignIn } from './sign-in.tsx';

beforeEach(() => {
  barn.freshBarn();
  path.value = '/elsewhere';
});
afterEach(cleanup);

const fill = (label: string, value: string) =>
  fireEvent.input(screen.getByLabelText(label), { target: { value } });

describe('signing in', () => {
  it('goes to Today when the house knows them', async () => {
    barn.answers.signIn = vi.fn(async () => {});
    render(<SignIn />);
    fill('Name', ' Marit ');
    fill('Password', 'seven brown eggs');
    fireEvent.click(screen.getByRole('button', { name: 'Sign in' }));
    await waitFor(() => expect(path.value).toBe('/'));
    expect(barn.answers.signIn).toHaveBeenCalledWith(
      expect.objectContaining({ name: 'Marit', password: 'seven brown eggs' }),
    );
  });

  it('says in the house’s words what was wrong, and stays', async () => {
    barn.answers.signIn = async () => {
      throw new Error('Name or password is not right.');
    };
    render(<SignIn />);
    fill('Name', 'Marit');
    fill('Password', 'x');
    fireEvent.click(screen.getByRole('button', { name: 'Sign in' }));
    expect((await screen.findByRole('alert')).textContent).toContain('Name or password is not right.');
    expect(path.value).toBe('/elsewhere');
  });

  it('says that what waits stays the work of who wrote it', async () => {
    await barn.write('cage_note', { cage: 'cage-A1', text: 'moulting' });
    render(<SignIn />);
    expect(screen.getByText(/stays the work of the person who wrote it/)).toBeTruthy();
  });
});

describe('another farm’s entries on this phone', () => {
  it('are not forgotten', async () => {
    barn.answers.otherFarms = [
      { farm: 'farm-2', name: 'Three Alders', waiting: 14 } as (typeof barn.answers.otherFarms)[0],
    ];
    render(<SignIn />);
    expect((await screen.findByText(/of Three Alders are on this device/)).textContent).toContain(
      '14 entries',
    );
    barn.answers.otherFarms = [];
  });
});

describe('beginning', () => {
  it('begins an empty book with what was typed', async () => {
    barn.answers.begin = vi.fn(async () => {});
    render(<Begin token="t" />);
    fill('Name of the farm', 'Hill barn');
    fill('Your name', 'Marit');
    fill('Password', 'seven brown eggs');
    fireEvent.click(screen.getByRole('button', { name: 'Begin' }));
    await waitFor(() => expect(path.value).toBe('/'));
    expect(barn.answers.begin).toHaveBeenCalledWith(
      expect.objectContaining({ token: 't', choice: 'empty', farmName: 'Hill barn', name: 'Marit' }),
      expect.any(Function),
    );
  });

  it('puts the house’s sentence beside the field it is about', async () => {
    barn.answers.begin = async () => {
      throw Object.assign(new Error('Choose a longer password.'), { field: 'password' });
    };
    render(<Begin token="t" />);
    fill('Name of the farm', 'Hill barn');
    fill('Your name', 'Marit');
    fill('Password', 'x');
    fireEvent.click(screen.getByRole('button', { name: 'Begin' }));
    await screen.findByText('Choose a longer password.');
    expect(screen.getByLabelText('Password').getAttribute('aria-invalid')).toBe('true');
  });

  it('says at once that a link has been used, and leads to the sign-in', async () => {
    barn.answers.whyNotBegin = 'This link has been used.';
    render(<Begin token="t" />);
    expect((await screen.findByRole('alert')).textContent).toContain('This link has been used.');
    expect(screen.queryByLabelText('Password')).toBeNull();
    expect(screen.getByRole('link', { name: 'Sign in' }).getAttribute('href')).toBe('/sign-in');
    barn.answers.whyNotBegin = null;
  });

  it('shows how far the example farm is', async () => {
    let ready = () => {};
    barn.answers.begin = (_how, onProgress) => {
      onProgress?.({ state: 'working', done: 5000, total: 14000 });
      return new Promise((resolve) => {
        ready = resolve;
      });
    };
    render(<Begin token="t" />);
    fireEvent.click(screen.getByRole('radio', { name: /example farm/ }));
    fireEvent.click(screen.getByRole('button', { name: 'Make the example farm' }));
    await screen.findByText(/5000 of 14000/);
    ready();
    await waitFor(() => expect(path.value).toBe('/'));
  });
});
