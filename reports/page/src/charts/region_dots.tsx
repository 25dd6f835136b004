// One row a region, from dry to wet: weather years as dots on their band of 8 years in 10. A picked year is a line down the rows.
import type { JSX } from "preact";
import { scaleLinear } from "d3";
import type { Region } from "../document/types";
import { useWidth } from "../parts/screen";
import { useYear } from "../year";
import { tonnes } from "../words/format";
import { clip } from "./blend_chart";
import { YearDots, dotRadius, swarm } from "./year_dots";
import type { Dot } from "./year_dots";

export function RegionDots({ rows }: { rows: { region: Region; index: number }[] }): JSX.Element {
  const [ref, width] = useWidth(), choice = useYear(), r0 = dotRadius(choice.years.length, 2.6);
  const narrow = width < 560, left = narrow ? 4 : 190, right = 14, top = 26, rowHeight = narrow ? 58 : rows.length > 16 ? 30 : 44, drop = narrow ? 12 : 0;
  const height = top + rows.length * rowHeight + 8;
  const most = Math.max(...rows.flatMap(({ region: r }) => [r.qualifying_t.p90 ?? 0, ...r.by_year.map((y) => y.qualifying_t ?? 0)]), 1);
  const x = scaleLinear([0, most], [left, Math.max(left + 10, width - right)]).nice(), ticks = x.ticks(narrow ? 4 : 7);
  const middle = (i: number) => top + i * rowHeight + rowHeight / 2 + drop;
  const dots: Dot[] = rows.flatMap(({ region: r }, row) => {
    const years = r.by_year.filter((y) => y.qualifying_t !== null).sort((a, b) => (a.qualifying_t ?? 0) - (b.qualifying_t ?? 0)), xs = years.map((y) => x(y.qualifying_t ?? 0));
    const lift = swarm(xs, r0, rowHeight / 2 - (narrow ? 15 : 6));
    return years.map((y, k) => ({ year: y.year, x: xs[k] ?? 0, y: middle(row) + (lift[k] ?? 0), row, label: `${r.name}, ${choice.name(y.year)}: ${tonnes(y.qualifying_t)} tonnes qualify` }));
  });
  return (
    <div ref={ref}>
      {width > 0 && <div class="ground">
        <svg class="plot" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
          {ticks.map((t, i) => <g key={t}><path class="grid" d={`M${x(t)},${top - 4}V${height - 4}`} /><text class="tick" x={x(t)} y={12} text-anchor={i === 0 ? "start" : i === ticks.length - 1 ? "end" : "middle"}>{t.toLocaleString("en-GB")}{i === ticks.length - 1 ? " t" : ""}</text></g>)}
          {rows.map(({ region: r }, i) => {
            const q = r.qualifying_t, y = middle(i), h = Math.min(24, rowHeight - 12);
            return (
              <g key={r.region}>
                <path class="grid" d={`M0,${top + i * rowHeight}H${width}`} />
                {narrow ? <text x={left} y={y - h / 2 - 7} class="strong">{clip(r.name, 40)}</text> : <text x={0} y={y} dy="0.35em" class="strong">{clip(r.name, 24)}</text>}
                {q.p10 !== null && q.p90 !== null && <rect class="band" x={x(q.p10)} y={y - h / 2} width={Math.max(1, x(q.p90) - x(q.p10))} height={h} />}
                {q.p50 !== null && <path class="median" d={`M${x(q.p50)},${y - h / 2}v${h}`} />}
              </g>
            );
          })}
        </svg>
        <YearDots dots={dots} width={width} height={height} about="Qualifying tonnes of each region in each weather year" radius={r0} joined name />
      </div>}
    </div>
  );
}
