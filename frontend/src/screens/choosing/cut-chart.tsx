import { useRef } from 'preact/hooks';
import type { BirdToChoose, ChosenSex, GroupToChoose } from '../../book/choosing-page.ts';
import { amount } from '../../parts/amount.ts';
import { Chart, type Place } from '../../parts/chart.tsx';
import { GRAMS_PER_OUNCE, showWeight, type Unit } from '../../parts/weight.ts';
import { keptAt, rowOf } from './reading.ts';

interface Props {
  group: GroupToChoose;
  sex: ChosenSex;
  birds: readonly BirdToChoose[];
  kept: number;
  unit: Unit;
  onKeep: (kept: number) => void;
  onSettled: () => void;
}

const BAR_G = 10;

/** The weights of one sex with the cut drawn through them: it can be dragged, stepped with the arrow keys, or slid below. */
export function CutChart({ group, sex, birds, kept, unit, onKeep, onSettled }: Props) {
  const { by_kept, mean_g } = group.sexes[sex];
  const weights = birds.filter((bird) => bird.sex === sex).map((bird) => bird.grams);
  const dragging = useRef(false);
  const row = rowOf(group, sex, kept);
  const from = Math.floor(Math.min(...weights) / BAR_G) * BAR_G - BAR_G;
  const to = Math.floor(Math.max(...weights) / BAR_G) * BAR_G + 2 * BAR_G;
  const bars = new Map<number, number>();
  for (const grams of weights) {
    const bar = Math.floor(grams / BAR_G) * BAR_G;
    bars.set(bar, (bars.get(bar) ?? 0) + 1);
  }
  const cut_g = row ? row.cut_g : to - BAR_G / 2;
  const show = (grams: number) => (unit === 'oz' ? (grams / GRAMS_PER_OUNCE).toFixed(1) : String(grams));
  const weight = (grams: number) => showWeight(grams, unit, 'bird');
  const summary = row
    ? `${kept} of ${amount(weights.length, sex)} stay, at ${weight(row.cut_g)} and over. Their mean is ${weight(row.mean_g)}, of all ${weight(mean_g ?? 0)}.`
    : `None of ${amount(weights.length, sex)} stays. The mean of all is ${weight(mean_g ?? 0)}.`;
  const most = Math.max(...bars.values());

  const drag = (event: PointerEvent, place: Place) => {
    const svg = (event.currentTarget as SVGElement).ownerSVGElement;
    if (!svg) return;
    const x = event.clientX - svg.getBoundingClientRect().left;
    const grams = from + ((x - place.left) / (place.right - place.left)) * (to - from);
    onKeep(keptAt(by_kept, grams));
  };

  return (
    <section class="cut-chart">
      <h3>{sex === 'cock' ? 'Cocks' : 'Hens'}</h3>
      <Chart
        summary={summary}
        height={210}
        x={{ label: `Weight at the standard age, ${unit}`, from, to, show }}
        y={{ label: 'Birds', from: 0, to: most + 1, step: Math.max(1, Math.ceil(most / 5)), show: String }}
        series={[
          { draw: 'bars', name: 'Birds', width: BAR_G, points: [...bars].sort((a, b) => a[0] - b[0]) },
        ]}
        head={['Kept', 'Cut', 'Mean of those kept', 'Over the mean of all']}
        rows={by_kept.map((each) => [
          each.kept,
          weight(each.cut_g),
          weight(each.mean_g),
          weight(each.differential_g),
        ])}
      >
        {(place) => (
          <g class="cut">
            <rect
              class="stays"
              x={place.x(cut_g)}
              y={place.top}
              width={Math.max(place.right - place.x(cut_g), 0)}
              height={place.bottom - place.top}
            />
            <path d={`M${place.x(cut_g)} ${place.top - 4}V${place.bottom}`} />
            <circle cx={place.x(cut_g)} cy={place.top + 12} r="11" />
            <path class="grip" d={`M${place.x(cut_g) - 3} ${place.top + 7}v10m6 -10v10`} />
            <rect
              class="hold"
              x={place.left}
              y={0}
              width={place.right - place.left}
              height={place.bottom}
              onPointerDown={(event) => {
                dragging.current = true;
                event.currentTarget.setPointerCapture(event.pointerId);
                drag(event, place);
              }}
              onPointerMove={(event) => {
                if (dragging.current) drag(event, place);
              }}
              onPointerUp={() => {
                dragging.current = false;
                onSettled();
              }}
              onPointerCancel={() => {
                dragging.current = false;
                onSettled();
              }}
            />
          </g>
        )}
      </Chart>
      <label class="slide">
        <span>{sex === 'cock' ? 'Cocks' : 'Hens'} that stay</span>
        <input
          type="range"
          min={0}
          max={weights.length}
          step={1}
          value={kept}
          aria-valuetext={row ? `${kept}, at ${weight(row.cut_g)} and over` : 'none'}
          onInput={(event) => onKeep(Number(event.currentTarget.value))}
          onChange={onSettled}
        />
      </label>
    </section>
  );
}
