import { broods, cages, farm, lines, me, storage } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';

/** What the book knows of the place: in the order in which an empty book is filled. */
export function SetUp() {
  const owner = me.value?.role === 'owner';
  return (
    <BookPage title="Set-up">
      <Ledger label="Set-up">
        {owner && (
          <Row href="/set-up/farm" margin="Farm">
            <strong>{farm.value?.name}</strong>
            <span>
              {amount(farm.value?.rounds.length ?? 0, 'round')} a day, weights in{' '}
              {farm.value?.weight_unit === 'oz' ? 'ounces' : 'grams'}
            </span>
          </Row>
        )}
        {owner && (
          <Row href="/lines" margin="Lines">
            <strong>{amount(lines.value.length, 'line')}</strong>
            <span>names, egg-weight band, weighing age, sexing window</span>
          </Row>
        )}
        {owner && (
          <Row href="/set-up/cages" margin="Cages">
            <strong>{amount(cages.value.filter((c) => !c.closed).length, 'cage')}</strong>
            <span>codes, rows and the walking order; a whole row at once</span>
          </Row>
        )}
        <Row href="/set-up/cards" margin="Cards">
          <strong>Cards for the cages</strong>
          <span>to print: the code large, and a square that opens the cage on a phone</span>
        </Row>
        <Row href="/broods" margin="Broods">
          <strong>{amount(broods.value.length, 'brood')}</strong>
          <span>chicks of a hatch; from there into cages</span>
        </Row>
        {owner && (
          <Row href="/customers" margin="Out">
            <strong>Customers</strong>
            <span>who is sent eggs; kept at the house, for the owner alone</span>
          </Row>
        )}
        {owner && (
          <Row href="/set-up/notebook" margin="In">
            <strong>Bring in a notebook</strong>
            <span>egg counts, weights and hatches from a spreadsheet</span>
          </Row>
        )}
        <Row href="/set-up/take-out" margin="Out">
          <strong>Take the book out</strong>
          <span>all of it as a spreadsheet; what is due as a calendar</span>
        </Row>
        {owner && (
          <Row href="/set-up/people" margin="People">
            <strong>Owners, helpers, onlookers</strong>
            <span>ask somebody in, bring in a phone, a new password</span>
          </Row>
        )}
        {owner && (
          <Row href="/set-up/phones" margin="Phones">
            <strong>Phones of this book</strong>
            <span>when each was last here, and what it still had</span>
          </Row>
        )}
        {owner && (
          <Row href="/set-up/public-address" margin="Out">
            <strong>Public address</strong>
            <span>for links to customers; all works without it</span>
          </Row>
        )}
        {owner && (
          <Row href="/set-up/house" margin="House">
            <strong>The house and its back-ups</strong>
            <span>is it well; when the book was last backed up, and one now</span>
          </Row>
        )}
        <Row href="/set-up/phone" margin="Here">
          <strong>This device</strong>
          <span>{storage.value.persisted ? 'the book is kept safe here' : 'light, storage, sign out'}</span>
        </Row>
      </Ledger>
      {!owner && <p class="quiet">The farm, its lines and its cages are set up by the owner.</p>}
    </BookPage>
  );
}
