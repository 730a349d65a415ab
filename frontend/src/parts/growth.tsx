import './growth.css';

export interface Weighing {
  age_days: number;
  grams: number;
  /** The day, and the weight, as the page says them. */
  day: string;
  said: string;
}

/** The mean growth of others, behind: [age in days, mean, low, high]; the band between low and high is drawn. */
export interface MeanGrowth {
  of: string;
  points: readonly (readonly [number, number, number, number])[];
}

interface Props {
  weighings: Weighing[];
  mean?: MeanGrowth | undefined;
  /** The cut weight, at the age it is for. */
  cut?: { age_days: number; grams: number; said: string } | undefined;
  show: (grams: number) => string;
}

const [W, H, LEFT, BOTTOM, TOP] = [340, 180, 46, 24, 12];

/** A round number of grams between the rules of the paper: at most four of them. */
export function step(most: number): number {
  for (const one of [10, 20, 50, 100, 200, 500]) if (most / one <= 4.5) return one;
  return 1000;
}

/** Weights by age, drawn over the growth of its kind; the same in words above, and in tables behind. */
export function Growth({ weighings, mean, cut, show }: Props) {
  const [first, last] = [weighings[0], weighings.at(-1)];
  if (!first || !last) return null;
  const most_age = Math.max(last.age_days, cut?.age_days ?? 0, 14) + 3;
  const points = (mean?.points ?? []).filter(([age]) => age <= most_age);
  const most_g =
    Math.max(...weighings.map((w) => w.grams), ...points.map(([, , , g]) => g), cut?.grams ?? 0) * 1.08;
  const x = (age: number) => LEFT + (age / most_age) * (W - LEFT - 8);
  const y = (grams: number) => H - BOTTOM - (grams / most_g) * (H - BOTTOM - TOP);
  const by = step(most_g);
  const rules = Array.from({ length: Math.floor(most_g / by) }, (_, n) => (n + 1) * by);
  const weeks = Array.from({ length: Math.floor(most_age / 14) }, (_, n) => (n + 1) * 14);
  const summary =
    weighings.length === 1
      ? `One weight: ${first.said} at day ${first.age_days}.`
      : `${weighings.length} weights, from ${first.said} at day ${first.age_days} to ${last.said} at day ${last.age_days}.`;
  return (
    <div class="growth">
      <p>{summary}</p>
      <svg viewBox={`0 0 ${W} ${H}`} role="img" aria-label={summary}>
        {rules.map((grams) => (
          <g key={grams}>
            <path class="rule" d={`M${LEFT} ${y(grams)} H${W - 8}`} />
            <text x={LEFT - 6} y={y(grams) + 4} text-anchor="end">
              {show(grams)}
            </text>
          </g>
        ))}
        {weeks.map((age) => (
          <text key={age} x={x(age)} y={H - 6} text-anchor="middle">
            {age / 7} wk
          </text>
        ))}
        <path class="axis" d={`M${LEFT} ${TOP} V${H - BOTTOM} H${W - 8}`} fill="none" />
        {points.length > 1 && (
          <>
            <path
              class="band"
              d={`M${points.map(([age, , low]) => `${x(age)} ${y(low)}`).join(' L')} L${[...points]
                .reverse()
                .map(([age, , , high]) => `${x(age)} ${y(high)}`)
                .join(' L')} Z`}
            />
            <path class="mean" d={`M${points.map(([age, grams]) => `${x(age)} ${y(grams)}`).join(' L')}`} />
          </>
        )}
        {cut && <path class="cut" d={`M${x(cut.age_days) - 12} ${y(cut.grams)} h24`} />}
        <path
          class="grown"
          d={weighings.map((w, n) => `${n === 0 ? 'M' : 'L'}${x(w.age_days)} ${y(w.grams)}`).join(' ')}
        />
        {weighings.map((w) => (
          <circle key={`${w.age_days} ${w.grams}`} cx={x(w.age_days)} cy={y(w.grams)} r="4" />
        ))}
      </svg>
      {mean && points.length > 1 && (
        <p class="quiet">
          The broken line is the mean of {mean.of}, the band about it its 95 % interval; single birds spread
          wider.
        </p>
      )}
      {cut && (
        <p class="quiet">
          The short stroke is the cut: {cut.said} at day {cut.age_days}.
        </p>
      )}
      <details>
        <summary>Weights as a table</summary>
        <table>
          <thead>
            <tr>
              <th>Day</th>
              <th>Age</th>
              <th>Weight</th>
            </tr>
          </thead>
          <tbody>
            {weighings.map((w) => (
              <tr key={`${w.age_days} ${w.grams}`}>
                <td>{w.day}</td>
                <td>{w.age_days}</td>
                <td>{w.said}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
      {mean && points.length > 1 && (
        <details>
          <summary>The mean of {mean.of} as a table</summary>
          <table>
            <thead>
              <tr>
                <th>Age</th>
                <th>Mean</th>
                <th>95 % interval</th>
              </tr>
            </thead>
            <tbody>
              {points.map(([age, grams, low, high]) => (
                <tr key={age}>
                  <td>{age}</td>
                  <td>{show(grams)}</td>
                  <td>
                    {show(low)} to {show(high)}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      )}
    </div>
  );
}
