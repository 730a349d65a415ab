/** The kinds that an egg round does without: they come after the first screen stands. */
import type { Kind } from '../contract.ts';
import * as birdDecided from './bird-decided.ts';
import * as birdSexed from './bird-sexed.ts';
import * as birdWeight from './bird-weight.ts';
import * as birdsBanded from './birds-banded.ts';
import * as birdsBoughtIn from './birds-bought-in.ts';
import * as birdsPlaced from './birds-placed.ts';
import * as birdsSold from './birds-sold.ts';
import * as birdsWeighed from './birds-weighed.ts';
import * as brood from './brood.ts';
import * as broodHatched from './brood-hatched.ts';
import * as brooderMoved from './brooder-moved.ts';
import * as cage from './cage.ts';
import * as candled from './candled.ts';
import * as chicksSeen from './chicks-seen.ts';
import * as eggCount from './egg-count-in-store.ts';
import * as eggWeight from './egg-weight.ts';
import * as eggsOut from './eggs-out.ts';
import * as eggsSet from './eggs-set.ts';
import * as expense from './expense.ts';
import * as farm from './farm.ts';
import * as feedBought from './feed-bought.ts';
import * as feedFed from './feed-fed.ts';
import * as foundDead from './found-dead-of-brood.ts';
import * as foundRight from './found-right.ts';
import * as hatchReportAside from './hatch-report-aside.ts';
import * as hatchReportClosed from './hatch-report-closed.ts';
import * as hatchReported from './hatch-reported.ts';
import * as hatched from './hatched.ts';
import * as headCheck from './head-check.ts';
import * as incubatorRead from './incubator-read.ts';
import * as injured from './injured.ts';
import type { OneKind } from './kind.ts';
import * as lightsAndHeat from './lights-and-heat.ts';
import * as line from './line.ts';
import * as lockdown from './lockdown.ts';
import * as orderTaken from './order-taken.ts';
import * as orderWithdrawn from './order-withdrawn.ts';
import * as packed from './packed.ts';
import * as plumageClaimed from './plumage-claimed.ts';
import * as plumageSeen from './plumage-seen.ts';
import * as pricesTold from './prices-told.ts';
import * as processed from './processed.ts';
import * as promised from './promised.ts';
import * as sent from './sent.ts';
import * as settingPlanned from './setting-planned.ts';
import * as sexGuessed from './sex-guessed.ts';
import * as storeSeen from './store-seen.ts';
import * as treated from './treated.ts';

export const OFF_ROUND = {
  farm,
  line,
  cage,
  brood,
  birds_placed: birdsPlaced,
  head_check: headCheck,
  egg_weight: eggWeight,
  found_dead: foundDead,
  found_right: foundRight,
  bird_weight: birdWeight,
  bird_sexed: birdSexed,
  eggs_set: eggsSet,
  candled,
  lockdown,
  incubator_read: incubatorRead,
  hatched,
  brood_hatched: broodHatched,
  chicks_seen: chicksSeen,
  birds_banded: birdsBanded,
  sex_guessed: sexGuessed,
  brooder_moved: brooderMoved,
  injured,
  lights_and_heat: lightsAndHeat,
  birds_weighed: birdsWeighed,
  bird_decided: birdDecided,
  plumage_seen: plumageSeen,
  processed,
  birds_sold: birdsSold,
  birds_bought_in: birdsBoughtIn,
  treated,
  plumage_claimed: plumageClaimed,
  prices_told: pricesTold,
  setting_planned: settingPlanned,
  egg_count: eggCount,
  store_seen: storeSeen,
  eggs_out: eggsOut,
  order_taken: orderTaken,
  promised,
  order_withdrawn: orderWithdrawn,
  packed,
  sent,
  feed_bought: feedBought,
  feed_fed: feedFed,
  expense,
  hatch_reported: hatchReported,
  hatch_report_closed: hatchReportClosed,
  hatch_report_aside: hatchReportAside,
} satisfies Partial<Record<Kind, OneKind>>;
