// When orders fall due: one lane a source, one knot an order, its tonnes beside it; what falls after the harvest is known is on a wash.
import type { JSX } from "preact";
import { scaleUtc, utcMonth } from "d3";
import type { Decision, Plan } from "../document/types";
import { sum, zero } from "../document/selections";
import { useWidth } from "../parts/screen";
import { dayShort, monthWord, tonnes } from "../words/format";
import { clip } from "./blend_chart";

const when = (iso: string): number => Date.parse(`${iso}T00:00:00Z`);

/** Orders of one source in one stage, in order of the day they fall due. */
export interface OrderGroup { source: string; stage: string; orders: { d: Decision; index: number }[]; t: number }

export function orderGroups(plan: Plan): OrderGroup[] {
  const groups = new Map<string, OrderGroup>();
  const due = plan.decisions.map((d, index) => ({ d, index })).sort((a, b) => (a.d.by < b.d.by ? -1 : a.d.by > b.d.by ? 1 : a.index - b.index));
  for (const order of due) {
    const key = JSON.stringify([order.d.source, order.d.stage]), at = groups.get(key) ?? { source: order.d.source, stage: order.d.stage, orders: [], t: 0 };
    at.orders.push(order);
    groups.set(key, at);
  }
  return [...groups.values()].map((g) => ({ ...g, t: sum(g.orders.map((o) => zero(o.d.t))) }));
}

export function DueLine({ plan, groups }: { plan: Plan; groups: OrderGroup[] }): JSX.Element | null {
  const [ref, width] = useWidth(), start = when(plan.season.as_of), closed = when(plan.intake_closed), days = groups.flatMap((g) => g.orders.map((o) => when(o.d.by))).filter(Number.isFinite);
  if (days.length === 0 || !Number.isFinite(start)) return null;
  const narrow = width < 560, left = narrow ? 4 : 170, last = Math.max(...days, Number.isFinite(closed) ? closed : 0), lane = narrow ? 62 : 40, top = 20, line = top + groups.length * lane, height = line + 40;
  const x = scaleUtc([new Date(Math.min(start, ...days)), new Date(last)], [left + 4, Math.max(left + 20, width - 24)]);
  const months = utcMonth.range(new Date(start), new Date(last)), every = Math.ceil((months.length * 34) / Math.max(width - left, 34));
  return (
    <div ref={ref}>
      {width > 0 && <svg class="plot" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
        {Number.isFinite(closed) && <g><rect class="after" x={x(closed)} y={0} width={Math.max(0, width - x(closed))} height={line} /><path class="tenth" d={`M${x(closed)},0V${line}`} /><text x={x(closed) + (x(closed) > width * 0.6 ? -6 : 6)} y={12} text-anchor={x(closed) > width * 0.6 ? "end" : "start"} class="soft">harvest known from {dayShort(plan.intake_closed)}</text></g>}
        {groups.map((g, i) => {
          const y = top + i * lane + (narrow ? 46 : 24);
          let taken = -Infinity;
          return (
            <g key={i}>
              <path class="grid" d={`M0,${top + i * lane}H${width}`} />
              <text x={narrow ? left : 0} y={narrow ? y - 30 : y} dy={narrow ? 0 : "0.35em"} class="strong">{clip(g.source, narrow ? 40 : 22)}</text>
              {g.orders.map(({ d, index }) => {
                const at = x(when(d.by)), words = `${tonnes(d.t)} t`, room = words.length * 7, mid = Math.max(room / 2, Math.min(width - room / 2, at)), told = mid - room / 2 > taken + 6;
                if (told) taken = mid + room / 2;
                return <g key={index}><circle class={d.stage === "now" ? "knot" : "knot open"} cx={at} cy={y} r={4} />{told && <text x={mid} y={y - 9} text-anchor="middle" class="halo">{words}</text>}</g>;
              })}
            </g>
          );
        })}
        <path class="axis" d={`M0,${line}H${width}`} />
        {months.filter((_, i) => i % every === 0).map((m) => <text key={+m} class="tick" x={x(m) < 20 ? left : x(m)} y={line + 18} text-anchor={x(m) < 20 ? "start" : "middle"}>{monthWord(m.toISOString().slice(0, 7)).slice(0, 3)}</text>)}
        {months.filter((m, i) => m.getUTCMonth() === 0 || (i === 0 && !months.some((o) => o > m && o.getUTCMonth() === 0 && x(o) - x(m) < 36))).map((m) => <text key={+m} class="tick strong" x={x(m) < 20 ? left : x(m)} y={line + 34} text-anchor={x(m) < 20 ? "start" : "middle"}>{m.getUTCFullYear()}</text>)}
      </svg>}
    </div>
  );
}
