// Cost by part: a bar to the mean, a band over 8 outcomes in 10. The document has no cost by weather year, so there are no dots here.
import type { JSX } from "preact";
import { scaleLinear } from "d3";
import type { Range } from "../document/types";
import { useWidth } from "../parts/screen";
import { thousands } from "../words/format";

export function CostBars({ parts, currency }: { parts: { words: string; r: Range }[]; currency: string }): JSX.Element {
  const [ref, width] = useWidth(), narrow = width < 560, left = narrow ? 4 : 190, right = narrow ? 66 : 90, rowHeight = narrow ? 40 : 30, top = 22, drop = narrow ? 9 : 0, height = top + parts.length * rowHeight + 4;
  const ends = parts.flatMap((p) => [p.r.mean, p.r.p10, p.r.p90]).filter((v): v is number => v !== null);
  const x = scaleLinear([Math.min(0, ...ends), Math.max(1, ...ends)], [left, Math.max(left + 10, width - right)]).nice(), unit = `1,000 ${currency}`;
  // No tick under the unit at the right, nor close to the one before.
  const ticks = x.ticks(narrow ? 3 : 6).filter((t, i, all) => x(t) + 4 * thousands(t).length < width - 7.2 * unit.length - 4 && (i === 0 || x(t) - x(all[i - 1] ?? t) > 7 * thousands(t).length));
  return (
    <div ref={ref}>
      {width > 0 && <svg class="plot" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
        {ticks.map((t) => <g key={t}><path class="grid" d={`M${x(t)},${top - 6}V${height}`} /><text class="tick" x={x(t)} y={11} text-anchor={x(t) < 20 ? "start" : "middle"}>{thousands(t)}</text></g>)}
        <path class="axis" d={`M${x(0)},${top - 6}V${height}`} />
        <text class="tick" x={width} y={11} text-anchor="end">{unit}</text>
        {parts.map(({ words, r }, i) => {
          const y = top + i * rowHeight + rowHeight / 2 + drop, zero = x(0);
          return (
            <g key={words}>
              {narrow ? <text x={left} y={y - 13} class="strong halo">{words}</text> : <text x={0} y={y} dy="0.35em" class="strong">{words}</text>}
              {r.p10 !== null && r.p90 !== null && <rect class="band" x={x(r.p10)} y={y - 9} width={Math.max(0.5, x(r.p90) - x(r.p10))} height={18} />}
              {r.mean !== null && <><rect class="bar" x={Math.min(zero, x(r.mean))} y={y - 4} width={Math.abs(x(r.mean) - zero)} height={8} /><text x={width} y={y} dy="0.35em" text-anchor="end">{thousands(r.mean)}</text></>}
            </g>
          );
        })}
      </svg>}
    </div>
  );
}
