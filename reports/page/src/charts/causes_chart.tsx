// From what the season could have grown to what qualifies: a bar for what is there, a step for what each cause takes. A picked year lies under it.
import type { JSX } from "preact";
import { scaleLinear } from "d3";
import { useWidth } from "../parts/screen";
import { tonnes } from "../words/format";

export interface StepRow { words: string; mean: number; year: number | null; whole: boolean }

// Where each row's bar begins and ends: whole amounts from nought, steps from what was left before them.
function spans(values: readonly { t: number; whole: boolean }[]): [number, number][] {
  let left = 0;
  return values.map(({ t, whole }) => {
    if (whole) { left = t; return [0, t]; }
    left -= t;
    return t >= 0 ? [left, left + t] : [left + t, left];
  });
}

export function CausesChart({ rows, yearName }: { rows: readonly StepRow[]; yearName: string | null }): JSX.Element {
  const [ref, width] = useWidth(), narrow = width < 560, two = yearName !== null && rows.every((r) => r.year !== null);
  const left = narrow ? 4 : 190, right = two && !narrow ? 132 : 66, bar = two ? (narrow ? 11 : 8) : 12, rowHeight = (narrow ? 22 : 8) + (two ? 2 * bar + 6 : bar + 6), top = two ? 40 : 22, height = top + rows.length * rowHeight + 4;
  const mean = spans(rows.map((r) => ({ t: r.mean, whole: r.whole }))), year = two ? spans(rows.map((r) => ({ t: r.year ?? 0, whole: r.whole }))) : [];
  const ends = [...mean, ...year].flat(), x = scaleLinear([Math.min(0, ...ends), Math.max(1, ...ends)], [left, Math.max(left + 10, width - right)]).nice();
  const ticks = x.ticks(narrow ? 3 : 6);
  const figure = (r: StepRow, t: number): string => (r.whole ? tonnes(t) : Math.abs(t) < 0.5 ? "0" : t > 0 ? `−${tonnes(t)}` : `+${tonnes(-t)}`);
  return (
    <div ref={ref}>
      {width > 0 && <svg class="plot steps" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
        {ticks.map((t, i) => <g key={t}><path class="grid" d={`M${x(t)},${top - 4}V${height - 2}`} /><text class="tick" x={x(t)} y={top - 10} text-anchor={x(t) < 24 ? "start" : "middle"}>{t.toLocaleString("en-GB")}{i === ticks.length - 1 ? " t" : ""}</text></g>)}
        {two && !narrow && <><text class="tick" x={width - 70} y={12} text-anchor="end">mean</text><text class="in-year" x={width} y={12} text-anchor="end">{yearName}</text></>}
        {two && narrow && <text class="in-year" x={left} y={12}>{yearName}, under the mean</text>}
        {rows.map((r, i) => {
          const y = top + i * rowHeight + (narrow ? 20 : 4), a = mean[i] ?? [0, 0], b = year[i];
          return (
            <g key={r.words}>
              {narrow ? <text x={left} y={y - 6} class={r.whole ? "strong halo" : "halo"}>{r.words}</text> : <text x={0} y={y + (two ? bar + 1 : bar / 2)} dy="0.35em" class={r.whole ? "strong" : ""}>{r.words}</text>}
              <rect class={r.whole ? "bar" : "step"} x={x(a[0])} y={y} width={Math.max(0.75, x(a[1]) - x(a[0]))} height={bar} />
              {b && <rect class={r.whole ? "year-bar" : "year-bar step"} x={x(b[0])} y={y + bar + 2} width={Math.max(0.75, x(b[1]) - x(b[0]))} height={bar} />}
              <text x={two && !narrow ? width - 70 : width} y={y + bar / 2} dy="0.35em" text-anchor="end">{figure(r, r.mean)}</text>
              {two && r.year !== null && <text class="in-year" x={width} y={narrow ? y + bar + 2 + bar / 2 : y + bar / 2} dy="0.35em" text-anchor="end">{figure(r, r.year)}</text>}
            </g>
          );
        })}
      </svg>}
    </div>
  );
}
