// How regions fail together: the total by year against the range that independence would give, and who falls short with whom.
import type { JSX } from "preact";
import { scaleLinear } from "d3";
import type { Plan, Range, Region } from "../document/types";
import type { YearTotal } from "../document/selections";
import { bySupply } from "../document/selections";
import { useWidth } from "../parts/screen";
import { useYear } from "../year";
import { tonnes } from "../words/format";
import { clip } from "./blend_chart";
import { YearDots, dotRadius, swarm } from "./year_dots";

export function TotalStrip({ plan }: { plan: Plan }): JSX.Element {
  const [ref, width] = useWidth(), choice = useYear(), r0 = dotRadius(plan.years.length, 3.4);
  const { qualifying_t: t, if_regions_were_independent: alone, sampling } = plan.supply;
  const years = plan.supply.by_year.filter((y) => y.qualifying_t !== null), all = [...years.map((y) => y.qualifying_t ?? 0), ...[t, alone].flatMap((r) => [r.p10, r.p90])].filter((v): v is number => v !== null);
  const low = Math.min(...all), high = Math.max(...all), pad = Math.max((high - low) * 0.06, 1), height = 208;
  const x = scaleLinear([Math.max(0, low - pad), high + pad], [6, Math.max(20, width - 6)]), ticks = x.ticks(width < 560 ? 3 : 8);
  const xs = years.map((y) => x(y.qualifying_t ?? 0)), lift = swarm(xs, r0, 22);
  const row = (r: Range, y: number, h: number, words: string): JSX.Element => (
    <g>
      <text x={6} y={y - h / 2 - 8} class="strong">{words}</text>
      {r.p10 !== null && r.p90 !== null && <rect class="band" x={x(r.p10)} y={y - h / 2} width={Math.max(1, x(r.p90) - x(r.p10))} height={h} />}
      {r.p50 !== null && <path class="median" d={`M${x(r.p50)},${y - h / 2}v${h}`} />}
      {r.p10 !== null && <><path class="tenth" d={`M${x(r.p10)},${y - h / 2 - 3}v${h + 6}`} /><text x={x(r.p10)} y={y + h / 2 + 16} text-anchor={x(r.p10) < 80 ? "start" : "middle"}>1 in 10 below {tonnes(r.p10)} t</text></>}
    </g>
  );
  return (
    <div ref={ref}>
      {width > 0 && all.length > 0 && <div class="ground">
        <svg class="plot" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
          {ticks.map((v, i) => <g key={v}><path class="grid" d={`M${x(v)},0V${height - 20}`} /><text class="tick" x={x(v)} y={height - 5} text-anchor={i === 0 && x(v) < 20 ? "start" : i === ticks.length - 1 && x(v) > width - 30 ? "end" : "middle"}>{v.toLocaleString("en-GB")}{i === ticks.length - 1 ? " t" : ""}</text></g>)}
          {row(t, 48, 48, choice.drawn ? "all regions in the same year, as in life" : "all regions in the same weather, as in life")}
          {!choice.drawn && sampling.p10[0] !== null && sampling.p10[1] !== null && <path class="bracket" d={`M${x(sampling.p10[0])},94v4H${x(sampling.p10[1])}v-4`} />}
          {plan.regions.length > 1 && row(alone, 152, 16, "if each region went its own way")}
        </svg>
        <YearDots dots={years.map((y, i) => ({ year: y.year, x: xs[i] ?? 0, y: 48 + (lift[i] ?? 0), label: `${choice.name(y.year)}: ${tonnes(y.qualifying_t)} tonnes qualify in all` }))} width={width} height={height} about="Total qualifying tonnes by weather year" radius={r0} name />
      </div>}
    </div>
  );
}

/** Regions by years, each cell against the region's own middle year: below it ochre, above it blue-green. */
export function ShortTogether({ rows, years }: { rows: { region: Region; index: number }[]; years: readonly YearTotal[] }): JSX.Element {
  const [ref, width] = useWidth(), choice = useYear(), sorted = bySupply(years).slice(0, 400);
  const narrow = width < 560, left = narrow ? 4 : 150, rowHeight = narrow ? 34 : rows.length > 16 ? 18 : 26, names = narrow ? 15 : 0, step = (width - left) / Math.max(sorted.length, 1), top = 4, height = top + rows.length * rowHeight + 22;
  const middle = (r: Region): number => { const v = r.by_year.map((y) => y.qualifying_t ?? 0).sort((a, b) => a - b); return v[Math.floor(v.length / 2)] ?? 1; };
  const at = sorted.findIndex((y) => y.year === choice.shown);
  const column = (e: MouseEvent): YearTotal | undefined => {
    const box = (e.currentTarget as Element).getBoundingClientRect();
    return sorted[Math.floor((((e.clientX - box.left) * width) / box.width - left) / step)];
  };
  return (
    <div ref={ref}>
      {width > 0 && <svg class="plot picks" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true"
        onPointerMove={(e) => { if (e.pointerType !== "touch") choice.point(column(e)?.year ?? null); }} onPointerLeave={() => choice.point(null)} onClick={(e) => { const y = column(e); if (y) choice.pick(y.year); }}>
        {rows.map(({ region: r }, i) => {
          const half = middle(r), byYear = new Map(r.by_year.map((y) => [y.year, y.qualifying_t]));
          return (
            <g key={r.region} transform={`translate(0,${top + i * rowHeight})`}>
              <text x={narrow ? left : 0} y={narrow ? 11 : (rowHeight - 2) / 2} dy={narrow ? 0 : "0.35em"} class="strong">{clip(r.name, narrow ? 40 : 19)}</text>
              {sorted.map((y, k) => { const t = byYear.get(y.year); return t === null || t === undefined ? null : <rect key={y.year} x={left + k * step} y={names} width={Math.max(0.5, step - 0.8)} height={rowHeight - names - 2} style={{ fill: `var(--apart-${apart(t / Math.max(half, 1e-9))})` }} />; })}
            </g>
          );
        })}
        {!(at >= 0 && (at + 0.5) * step < 130) && <text class="tick" x={left} y={height - 5}>{choice.drawn ? "leanest draw" : "leanest year"}</text>}{!(at >= 0 && width - left - (at + 0.5) * step < 130) && <text class="tick" x={width} y={height - 5} text-anchor="end">{choice.drawn ? "fullest draw" : "fullest year"}</text>}
        {at >= 0 && <g class="shown"><rect class="frame" x={left + at * step - 1} y={top - 2} width={step + 1.2} height={rows.length * rowHeight + 2} /><text x={Math.max(left + 20, Math.min(width - 20, left + (at + 0.5) * step))} y={height - 5} text-anchor="middle">{choice.name(sorted[at]?.year ?? 0)}</text></g>}
      </svg>}
      <p class="scale"><span>against the region’s own middle year:</span>{["over 40 % below", "15–40 % below", "5–15 % below", "within 5 %", "5–15 % above", "15–40 % above", "over 40 % above"].map((words, k) => <span class="class" key={k}><svg width="28" height="10" aria-hidden="true"><rect width="28" height="10" style={{ fill: `var(--apart-${k})` }} /></svg>{words}</span>)}</p>
    </div>
  );
}

const apart = (ratio: number): number => (ratio < 0.6 ? 0 : ratio < 0.85 ? 1 : ratio < 0.95 ? 2 : ratio <= 1.05 ? 3 : ratio <= 1.15 ? 4 : ratio <= 1.4 ? 5 : 6);
