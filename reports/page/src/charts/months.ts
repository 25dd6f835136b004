// The month axis that all charts by month share: months as words, years under them, a hairline where a year turns.
import * as Plot from "@observablehq/plot";
import { monthWord, yearOf } from "../words/format";

/** Marks for months along x (a band scale of YYYY-MM). `step`: px a month. */
export function monthAxis(months: readonly string[], step: number, withYears = true): Plot.Markish[] {
  const letters = step < 27 && step >= 11 ? 1 : 3, skip = step < 11 ? Math.ceil(30 / Math.max(step, 1)) : 1;
  const turns = months.filter((m, i) => i > 0 && m.endsWith("-01")), starts = [months[0], ...turns].filter((m): m is string => m !== undefined);
  return [
    Plot.axisX(months.filter((_, i) => i % skip === 0), { tickSize: 0, tickPadding: 6, label: null, tickFormat: (m: string) => monthWord(m).slice(0, letters) }),
    ...(withYears ? [Plot.text(starts, { x: (m: string) => m, frameAnchor: "bottom", dy: 36, text: (m: string) => String(yearOf(m)), fill: "var(--ink-2)", textAnchor: "start", dx: -step / 2 + 2, fontWeight: 600 })] : []),
    Plot.ruleX(turns, { x: (m: string) => m, dx: -step / 2, insetBottom: withYears ? -34 : -18, stroke: "var(--line)" }),
  ];
}

/** A quiet t axis at the left: few ticks, the unit over the top one. */
export function tonneAxis(unit = "t a month", ticks = 4): Plot.Markish[] {
  return [
    Plot.gridY({ ticks, stroke: "var(--line)", strokeOpacity: 1 }),
    Plot.axisY({ ticks, tickSize: 0, label: null, tickFormat: (v: number) => v.toLocaleString("en-GB") }),
    Plot.text([unit], { frameAnchor: "top-left", dx: -50, dy: -18, textAnchor: "start", fill: "var(--ink-2)" }),
  ];
}
