import { useMemo, useState } from 'preact/hooks';
import { me, questions } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountedTwice } from './counted-twice.tsx';
import { Doubted } from './doubted.tsx';
import { oneQuestionEach } from './one-question.ts';
import './questions.css';
import { asidesOfOthers, SetAside } from './set-aside.tsx';

const FIRST = 3;

/** On a phone rounds and dues stand on the first screen: one line says that something is asked, and leads down to it. */
export function QuestionsBelow() {
  const asked = oneQuestionEach(useMemo(questions, []).value ?? []);
  const number = asked.length + (me.value?.role === 'owner' ? asidesOfOthers().length : 0);
  if (number === 0) return null;
  return (
    <Button onClick={() => document.getElementById('questions')?.scrollIntoView()}>
      <b class="late">{amount(number, 'question')}</b> below
    </Button>
  );
}

/** What the book asks: entries that count, or clash, and that only somebody of the barn can judge. */
export function Questions() {
  const asked = oneQuestionEach(useMemo(questions, []).value ?? []);
  const [all, setAll] = useState(false);
  const shown = all ? asked : asked.slice(0, FIRST);
  return (
    <div class="stack" id="questions">
      {asked.length > 0 && (
        <section class="stack" aria-label="Questions">
          <h2>{asked.length === 1 ? 'A question' : `${asked.length} questions`}</h2>
          {shown.map((question) =>
            question.code === 'counted_twice' ? (
              <CountedTwice key={question.key} question={question} />
            ) : (
              <Doubted key={question.key} question={question} />
            ),
          )}
          {shown.length < asked.length && (
            <Button onClick={() => setAll(true)}>Show all {asked.length} questions</Button>
          )}
        </section>
      )}
      {me.value?.role === 'owner' && <SetAside />}
    </div>
  );
}
