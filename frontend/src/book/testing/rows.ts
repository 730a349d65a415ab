/** What a row says before anything was written of it: tests name only what matters to them. */

export const UNKNOWN_BIRD = {
  band: null,
  sex: 'unsexed' as const,
  looked_on: null,
  guess: null,
  guessed_by: null,
  guessed_on: null,
  last_weight_g: null,
  weighed_on: null,
  decision: null,
  decided_on: null,
  cage: null,
  placed_on: null,
  gone: null,
  gone_on: null,
};

export const PLAIN_BROOD = {
  setting: null,
  trays: [],
  plumage: {},
  bought_in: false,
  hatch_day_sure: true,
  quarantine_until: null,
  brooder: '',
};

export const PLAIN_LINE = {
  plumage: [],
  candle_on_day: 7,
  lockdown_on_day: 14,
  hatch_on_day: 17,
  cock_cut_g: null,
  hen_cut_g: null,
  laying_life_weeks: null,
  hen_breeding_weeks: null,
  cock_breeding_weeks: null,
  storage_limit_days: 7,
};
