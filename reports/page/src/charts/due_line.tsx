// When orders fall due: one line of time from the as-of date, orders as flags on it, sized in words rather than by area.
import type { JSX } from "preact";
import { scaleUtc, utcMonth } from "d3";
import type { Plan } from "../document/types";
import { useWidth } from "../parts/screen";
import { dayShort, monthWord, tonnes } from "../words/format";
import { clip } from "./blend_chart";

const when = (iso: string): number => Date.parse(`${iso}T00:00:00Z`);

export function DueLine({ plan }: { plan: Plan }): JSX.Element | null {
  const [ref, width] = useWidth(), due = plan.decisions.filter((d) => Number.isFinite(when(d.by))).sort((a, b) => when(a.by) - when(b.by)).slice(0, 14), start = when(plan.season.as_of), closed = when(plan.intake_closed);
  if (due.length === 0 || !Number.isFinite(start)) return null;
  const last = Math.max(...due.map((d) => when(d.by)), Number.isFinite(closed) ? closed : 0), end = last + (last - start) * 0.04;
  const narrow = width < 560, x = scaleUtc([new Date(Math.min(start, ...due.map((d) => when(d.by)))), new Date(end)], [4, Math.max(20, width - 4)]);
  const flag = 30, line = due.length * flag + 10, height = line + 40, months = utcMonth.range(new Date(start), new Date(end)), every = Math.ceil(months.length / (narrow ? 6 : 14));
  return (
    <div ref={ref}>
      {width > 0 && <svg class="plot" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
        {Number.isFinite(closed) && <g><rect class="after" x={x(closed)} y={0} width={Math.max(0, width - x(closed))} height={line} /><path class="tenth" d={`M${x(closed)},0V${line + 4}`} /><text x={x(closed) + 6} y={line - 6} class="soft">{narrow ? "harvest known" : `harvest known from ${dayShort(plan.intake_closed)}`}</text></g>}
        {due.map((d, i) => {
          const at = x(when(d.by)), y = 14 + i * flag, words = narrow ? `${dayShort(d.by)}  ${tonnes(d.t)} t` : `${dayShort(d.by)}  ${tonnes(d.t)} t, ${clip(d.source, 34)}`, left = at > width * (narrow ? 0.7 : 0.55);
          return <g key={i}><path class="pole" d={`M${at},${y - 6}V${line}`} /><circle class={d.stage === "now" ? "knot" : "knot open"} cx={at} cy={line} r={4} /><text x={at + (left ? -7 : 7)} y={y} dy="0.2em" text-anchor={left ? "end" : "start"} class="strong halo">{words}</text></g>;
        })}
        <path class="axis" d={`M0,${line}H${width}`} />
        {months.filter((_, i) => i % every === 0).map((m) => <text key={+m} class="tick" x={x(m)} y={line + 20} text-anchor={x(m) < 20 ? "start" : x(m) > width - 20 ? "end" : "middle"}>{monthWord(m.toISOString().slice(0, 7)).slice(0, 3)}</text>)}
        {months.filter((m, i) => i === 0 || m.getUTCMonth() === 0).map((m) => <text key={+m} class="tick strong" x={x(m)} y={line + 36} text-anchor={x(m) > width - 40 ? "end" : "start"}>{m.getUTCFullYear()}</text>)}
      </svg>}
    </div>
  );
}
