/** What a line says of its eggs in the incubator, its chicks and its lives; where a default comes from stands beside it. */
import type { LineRow, PlumageClass } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, LongField } from '../../parts/field.tsx';

export interface More {
  /** One class a line, the type first. */
  plumage: string;
  /** 0: not candled. */
  candle: number;
  lockdown: number;
  hatch: number;
  cock_cut: string;
  hen_cut: string;
  /** Weeks; 0: no due. */
  laying_life: number;
  hen_breeding: number;
  cock_breeding: number;
  storage: number;
}

export function moreOf(line: LineRow | undefined, shown: (grams: number | null | undefined) => string): More {
  const type = line?.plumage.filter((c) => c.is_type) ?? [];
  const off = line?.plumage.filter((c) => !c.is_type) ?? [];
  return {
    plumage: [...type, ...off].map((c) => c.words).join('\n'),
    candle: line ? (line.candle_on_day ?? 0) : 7,
    lockdown: line?.lockdown_on_day ?? 14,
    hatch: line?.hatch_on_day ?? 17,
    cock_cut: shown(line?.cock_cut_g),
    hen_cut: shown(line?.hen_cut_g),
    laying_life: line?.laying_life_weeks ?? 0,
    hen_breeding: line?.hen_breeding_weeks ?? 0,
    cock_breeding: line?.cock_breeding_weeks ?? 0,
    storage: line?.storage_limit_days ?? 7,
  };
}

/** The first line is the type. A class that keeps its words keeps its key: chicks are counted by it. */
export function classesOf(text: string, before: readonly PlumageClass[]): PlumageClass[] {
  const lines = text
    .split('\n')
    .map((words) => words.trim())
    .filter(Boolean);
  const used = new Set(before.filter((c) => lines.includes(c.words)).map((c) => c.key));
  return [...new Set(lines)].map((words, at) => {
    const known = before.find((c) => c.words === words);
    const key = known?.key ?? freshKey(words, used);
    used.add(key);
    return { key, words, is_type: at === 0 };
  });
}

function freshKey(words: string, used: ReadonlySet<string>): string {
  const stem =
    words
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '')
      .slice(0, 16) || 'class';
  let key = stem;
  for (let n = 2; used.has(key); n++) key = `${stem}-${n}`;
  return key;
}

interface Props {
  more: More;
  onMore: (more: More) => void;
  at: (field: string) => string | null;
}

export function LineMore({ more, onMore, at }: Props) {
  const set = (change: Partial<More>) => onMore({ ...more, ...change });
  return (
    <div class="spread">
      <section class="stack">
        <h2>In the incubator</h2>
        <CountField
          label="Candle on day"
          value={more.candle}
          onCount={(candle) => set({ candle })}
          wrong={at('candle_on_day')}
        />
        <small class="quiet">
          Day 7 is from memory: no official source says a day. 0 where you do not candle.
        </small>
        <CountField
          label="Lock down on day"
          value={more.lockdown}
          onCount={(lockdown) => set({ lockdown })}
          wrong={at('lockdown_on_day')}
        />
        <small class="quiet">
          Day 14 or 15: from hobby pages only, a weak source. Go by your own hatches.
        </small>
        <CountField
          label="Hatch on day"
          value={more.hatch}
          onCount={(hatch) => set({ hatch })}
          wrong={at('hatch_on_day')}
        />
        <small class="quiet">
          17 to 18 days: Poultry Hub on quail, and a game-bird chapter. The day eggs are set is day 0.
        </small>
        <CountField
          label="Eggs stored, days at most"
          value={more.storage}
          onCount={(storage) => set({ storage })}
          wrong={at('storage_limit_days')}
        />
        <small class="quiet">
          At most a week: Mississippi State University Extension. Loss depends on how warm they stand: at 15.8
          °C one trial lost nothing in four weeks.
        </small>
      </section>
      <section class="stack">
        <h2>Chicks and lives</h2>
        <LongField
          label="Plumage classes, one a line, the type first"
          value={more.plumage}
          onText={(plumage) => set({ plumage })}
          hint="How a chick looks, as you would say it. Left empty, chicks are counted without."
          wrong={at('plumage')}
        />
        <CountField
          label="Laying life, weeks"
          value={more.laying_life}
          onCount={(laying_life) => set({ laying_life })}
          wrong={at('laying_life_weeks')}
        />
        <small class="quiet">
          112 weeks, out before 26 months, is common practice without a source; one trial replaces hens at 48
          weeks. 0: no due.
        </small>
        <CountField
          label="Breeding life of hens, weeks"
          value={more.hen_breeding}
          onCount={(hen_breeding) => set({ hen_breeding })}
          wrong={at('hen_breeding_weeks')}
        />
        <CountField
          label="Breeding life of cocks, weeks"
          value={more.cock_breeding}
          onCount={(cock_breeding) => set({ cock_breeding })}
          wrong={at('cock_breeding_weeks')}
        />
        <small class="quiet">
          41 weeks: fertility was 92.9 % at 13 to 41 weeks of age and 81.9 % at 42 to 54 (Central Avian
          Research Institute). 0: no due.
        </small>
        <Button onClick={() => set({ laying_life: 112, hen_breeding: 41, cock_breeding: 41 })}>
          Take 112, 41 and 41
        </Button>
      </section>
    </div>
  );
}
