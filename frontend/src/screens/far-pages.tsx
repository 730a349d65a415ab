/** The pages that are not on the way through the barn: which address is which, and the part of the app that draws it. */
import { type ComponentType, h } from 'preact';
import { lazy } from '../parts/lazy.tsx';
import { Page } from '../parts/page.tsx';
import { match, type Params } from '../parts/route.ts';

type Draw = ComponentType<Params>;
const page = (pattern: string, load: () => Promise<unknown>) => ({
  pattern,
  draw: lazy(load as () => Promise<Draw>),
});

const PAGES = [
  page('/outbox', () => import('./outbox/outbox.tsx').then((m) => m.OutboxScreen)),
  page('/sexing', () => import('./sexing-day/sexing-day.tsx').then((m) => m.SexingDay)),
  page('/sexing/:brood', () => import('./sexing-day/brood-sexing.tsx').then((m) => m.BroodSexing)),
  page('/sexing/:brood/move', () => import('./sexing-day/move.tsx').then((m) => m.MoveBrood)),
  page('/brood/:brood/guess', () => import('./brooding/early-guess.tsx').then((m) => m.EarlyGuess)),
  page('/weigh-eggs', () => import('./weighing/pick-cage.tsx').then((m) => m.PickCage)),
  page('/weigh-eggs/:cage', () => import('./weighing/egg-weighing.tsx').then((m) => m.EggWeighing)),
  page('/weigh-birds', () => import('./weighing/pick-brood.tsx').then((m) => m.PickBrood)),
  page('/weigh-birds/:brood', () => import('./weighing/bird-weighing.tsx').then((m) => m.BirdWeighing)),
  page('/hatch-room', () => import('./hatch-room/hatch-room.tsx').then((m) => m.HatchRoom)),
  page('/hatch-room/set', () => import('./hatch-room/set-eggs.tsx').then((m) => m.SetEggs)),
  page('/hatch-room/set/:setting', () => import('./hatch-room/set-eggs.tsx').then((m) => m.SetEggs)),
  page('/setting/:setting', () => import('./hatch-room/setting-page.tsx').then((m) => m.SettingPage)),
  page('/setting/:setting/chicks', () => import('./hatch-room/chicks.tsx').then((m) => m.Chicks)),
  page('/cages', () => import('./cage/cages.tsx').then((m) => m.Cages)),
  page('/cage/:cage', () => import('./cage/cage-page.tsx').then((m) => m.CagePage)),
  page('/broods', () => import('./brood/broods.tsx').then((m) => m.Broods)),
  page('/brood/:brood', () => import('./brood/brood-page.tsx').then((m) => m.BroodPage)),
  page('/broods/bought-in', () => import('./treating/bought-in.tsx').then((m) => m.BoughtIn)),
  page('/bird/:brood/:bird', () => import('./bird/bird-page.tsx').then((m) => m.BirdPage)),
  page('/lines', () => import('./line/lines.tsx').then((m) => m.Lines)),
  page('/line/:line', () => import('./line/line-page.tsx').then((m) => m.LinePage)),
  page('/laying', () => import('./laying/laying.tsx').then((m) => m.Laying)),
  page('/sheets', () => import('./line-sheet/sheets.tsx').then((m) => m.Sheets)),
  page('/sheets/:line', () => import('./line-sheet/line-sheet.tsx').then((m) => m.LineSheet)),
  page('/hatching', () => import('./hatching/hatching.tsx').then((m) => m.Hatching)),
  page('/hatching/:line', () => import('./hatching/hatching.tsx').then((m) => m.Hatching)),
  page('/choosing', () => import('./choosing/choosing.tsx').then((m) => m.Choosing)),
  page('/choosing/:line', () => import('./choosing/choosing.tsx').then((m) => m.Choosing)),
  page('/laying/:line', () => import('./laying/line-laying.tsx').then((m) => m.LineLaying)),
  page('/mating', () => import('./mating/mating.tsx').then((m) => m.Mating)),
  page('/mating/:line', () => import('./mating/mating.tsx').then((m) => m.Mating)),
  page('/ahead', () => import('./ahead/ahead.tsx').then((m) => m.Ahead)),
  page('/ahead/:line', () => import('./ahead/ahead.tsx').then((m) => m.Ahead)),
  page('/wait-or-process', () => import('./waiting/waiting.tsx').then((m) => m.Waiting)),
  page('/wait-or-process/:line', () => import('./waiting/waiting.tsx').then((m) => m.Waiting)),
  page('/true-to-type', () => import('./true-to-type/true-to-type.tsx').then((m) => m.TrueToType)),
  page('/true-to-type/:line', () => import('./true-to-type/true-to-type.tsx').then((m) => m.TrueToType)),
  page('/store', () => import('./egg-store/store.tsx').then((m) => m.EggStore)),
  page('/orders', () => import('./orders/orders.tsx').then((m) => m.Orders)),
  page('/orders/new', () => import('./orders/order-form.tsx').then((m) => m.OrderForm)),
  page('/order/:order', () => import('./orders/order-page.tsx').then((m) => m.OrderPage)),
  page('/order/:order/change', () => import('./orders/order-form.tsx').then((m) => m.OrderForm)),
  page('/order/:order/pack', () => import('./orders/pack.tsx').then((m) => m.Pack)),
  page('/shipment/:shipment', () => import('./orders/shipment-page.tsx').then((m) => m.ShipmentPage)),
  page('/shipment/:shipment/report', () => import('./orders/reply-slip.tsx').then((m) => m.ReplySlip)),
  page('/shipment/:shipment/slip', () => import('./orders/slip.tsx').then((m) => m.Slip)),
  page('/set-up', () => import('./set-up/set-up.tsx').then((m) => m.SetUp)),
  page('/set-up/farm', () => import('./set-up/farm-form.tsx').then((m) => m.FarmForm)),
  page('/set-up/line/:line', () => import('./set-up/line-form.tsx').then((m) => m.LineForm)),
  page('/set-up/cages', () => import('./set-up/cages-set-up.tsx').then((m) => m.CagesSetUp)),
  page('/set-up/cards', () => import('./cage-cards/cage-cards.tsx').then((m) => m.CageCards)),
  page('/set-up/cage/:cage', () => import('./set-up/cage-form.tsx').then((m) => m.CageForm)),
  page('/set-up/brood/:brood', () => import('./set-up/brood-form.tsx').then((m) => m.BroodForm)),
  page('/set-up/notebook', () => import('./notebook/notebook.tsx').then((m) => m.Notebook)),
  page('/set-up/take-out', () => import('./notebook/take-out.tsx').then((m) => m.TakeOut)),
  page('/set-up/phone', () => import('./set-up/phone.tsx').then((m) => m.Phone)),
  page('/costs', () => import('./costs/costs.tsx').then((m) => m.Costs)),
  page('/costs/write', () => import('./costs/write-cost.tsx').then((m) => m.WriteCost)),
  page('/costs/:line', () => import('./costs/costs.tsx').then((m) => m.Costs)),
  page('/customers', () => import('./customers/customers.tsx').then((m) => m.Customers)),
  page('/customer/:customer', () => import('./customers/customer-page.tsx').then((m) => m.CustomerPage)),
  page('/begin/:token', () => import('./door/begin.tsx').then((m) => m.Begin)),
  page('/set-up/people', () => import('./people/people.tsx').then((m) => m.People)),
  page('/set-up/house', () => import('./house/the-house.tsx').then((m) => m.TheHouse)),
  page('/set-up/phones', () => import('./people/phones.tsx').then((m) => m.Phones)),
  page('/set-up/public-address', () => import('./set-up/public-address.tsx').then((m) => m.PublicAddress)),
  page('/join/:code', () => import('./door/join.tsx').then((m) => m.Join)),
  page('/sign-in', () => import('./door/sign-in.tsx').then((m) => m.SignIn)),
];

export function FarPages({ address }: { address: string }) {
  for (const { pattern, draw } of PAGES) {
    const params = match(pattern, address);
    if (params) return h(draw, { ...params, key: address });
  }
  return (
    <Page title="No such page" back={{ href: '/', name: 'Today' }}>
      <p>Nothing in the book stands at {address}.</p>
    </Page>
  );
}
