// Need against cover by month: what covers it stacked in greys, the need as a bar across the top, the shortage as an empty outlined gap,
// and every weather year that runs short hanging below the need.
import * as Plot from "@observablehq/plot";
import type { JSX } from "preact";
import type { Plan } from "../document/types";
import { kShortShare, sum } from "../document/selections";
import type { MonthTotal, Origin } from "../document/selections";
import { usePaper, useWidth } from "../parts/screen";
import { useYear } from "../year";
import { monthName, share, tonnes } from "../words/format";
import { Ground } from "./ground";
import { monthAxis, tonneAxis } from "./months";
import { YearDots, dotRadius, swarm } from "./year_dots";
import type { Dot } from "./year_dots";

export const kCoverKinds = ["old crop in store", "contracts", "bought in"] as const;
const kFills = ["var(--grey-dark)", "var(--grey-mid)", "url(#hatch-grey)"];

/** Mean cover of a month by kind. */
export function coverParts(m: MonthTotal, origins: readonly Origin[], cropYear: number | null): number[] {
  const home = new Set(origins.filter((o) => o.home).flatMap((o) => o.members)), t = [0, 0, 0];
  for (const p of m.parts) {
    const kind = !home.has(p.blend.origin) ? 2 : cropYear !== null && p.blend.crop_year !== null && p.blend.crop_year < cropYear ? 0 : 1;
    t[kind] = (t[kind] ?? 0) + p.t;
  }
  return t;
}

export function CoverChart({ plan, months, origins }: { plan: Plan; months: MonthTotal[]; origins: Origin[] }): JSX.Element {
  const [ref, width] = useWidth(), choice = useYear(), paper = usePaper(), r0 = dotRadius(plan.years.length, 2.8);
  const height = paper ? 300 : width < 560 ? 320 : 380, names = months.map((m) => m.month), left = 58;
  const bars = months.flatMap((m) => {
    let y = 0;
    return coverParts(m, origins, plan.season.crop_year).map((t, kind) => ({ month: m.month, kind, y1: y, y2: (y += t) })).filter((b) => b.y2 - b.y1 > 0);
  });
  const step = (width - left - 12) / Math.max(names.length, 1), inset = Math.max(1, step * 0.09);
  const gaps = months.filter((m) => m.unmet > kShortShare * m.need && m.unmet > 0);
  const top = Math.max(...months.map((m) => m.need), 1) * 1.04;
  const chances = names.map((m) => ({ month: m, p: plan.cover.first_unmet_month[m] ?? 0 })).filter((c) => c.p >= 0.005);
  const told = chances.filter((c, i) => { const next = chances[i + 1], before = chances[i - 1], near = (o: typeof c | undefined) => o !== undefined && Math.abs(names.indexOf(o.month) - names.indexOf(c.month)) * step < 22 && o.p > c.p; return !near(next) && !near(before); });
  const labels = kCoverKinds.flatMap((name, kind) => {
    const best = bars.filter((b) => b.kind === kind).sort((a, b) => (b.y2 - b.y1) - (a.y2 - a.y1))[0];
    const index = best ? names.indexOf(best.month) : -1, room = index >= 0 ? (names.length - index) * step : 0;
    return best && ((best.y2 - best.y1) / top) * (height - 80) > 34 ? [{ name, kind, month: best.month, y: (best.y1 + best.y2) / 2, end: room < 130 }] : [];
  });
  const keyed = kCoverKinds.map((name, kind) => ({ name, kind })).filter((k) => bars.some((b) => b.kind === k.kind) && (width < 560 || !labels.some((l) => l.kind === k.kind)));
  const options: Plot.PlotOptions = {
    width, height, marginLeft: left, marginRight: 12, marginBottom: 62, marginTop: 22,
    x: { domain: names, type: "band", padding: 0 }, y: { domain: [0, top] },
    marks: [
      ...tonneAxis(), ...monthAxis(names, step),
      Plot.rect(bars, { x: "month", y1: "y1", y2: "y2", fill: (b: { kind: number }) => kFills[b.kind], insetLeft: inset, insetRight: inset }),
      Plot.rect(gaps, { x: "month", y1: "cover", y2: "need", fill: "var(--paper)", stroke: "var(--ink)", strokeWidth: 1.4, strokeDasharray: "3 2", insetLeft: inset + 0.7, insetRight: inset + 0.7 }),
      Plot.tickY(months, { x: "month", y: "need", stroke: "var(--ink)", strokeWidth: 2.5, insetLeft: inset / 2, insetRight: inset / 2 }),
      ...(chances.length ? [Plot.text(told, { x: "month", frameAnchor: "bottom", dy: 54, text: (c: { p: number }) => share(c.p), fill: "var(--ink)", fontWeight: 600 })] : []),
    ],
  };
  return (
    <div ref={ref}>
      {width > 0 && keyed.length > 0 && <p class="key">{keyed.map(({ name, kind }) => <span key={name}><svg class="swatch" width="10" height="10" aria-hidden="true"><rect width="10" height="10" style={{ fill: kFills[kind] ?? "none" }} /></svg> {name}</span>)}</p>}
      {width > 0 && <Ground options={options} deps={[plan, width, height]}>
        {(s) => {
          const dots: Dot[] = months.flatMap((m, i) => {
            const short = plan.years.map((y, index) => ({ year: y.year, t: m.unmetByYear[index] ?? 0 })).filter((y) => y.t > kShortShare * m.need && y.t > 0).sort((a, b) => a.t - b.t);
            const ys = short.map((y) => s.y(Math.max(0, m.need - y.t))), aside = swarm(ys, r0, Math.max(0, step / 2 - 3));
            return short.map((y, k) => ({ year: y.year, x: s.x(m.month) + (aside[k] ?? 0), y: ys[k] ?? 0, row: i, label: `${choice.name(y.year)}: ${tonnes(y.t)} tonnes short in ${monthName(m.month)}` }));
          });
          const index = plan.years.findIndex((y) => y.year === choice.shown);
          return (
            <YearDots dots={dots} width={width} height={height} about="Weather years that run short, by month" radius={r0}>
              <g class="in-bar" aria-hidden="true">
                {months[0] && <text x={s.x(months[0].month) - s.xStep / 2 + inset} y={s.y(months[0].need) - 8} class="strong">need</text>}
                {width >= 560 && labels.map((l) => {
                  const wide = l.name.length * 7.2 + 10, x = s.x(l.month) + (l.end ? s.xStep / 2 - inset - wide - 4 : inset + 4 - s.xStep / 2), y = s.y(l.y);
                  return <g key={l.name}><rect class="plate" x={x} y={y - 9} width={wide} height={18} /><text x={x + wide / 2} y={y} dy="0.35em" text-anchor="middle">{l.name}</text></g>;
                })}
              </g>
              {index >= 0 && <g class="followed" aria-hidden="true">
                {months.map((m) => { const short = m.unmetByYear[index] ?? 0, w = s.xStep - 2 * inset; return short > kShortShare * m.need ? <rect key={m.month} x={s.x(m.month) - w / 2} width={Math.max(w, 1)} y={s.y(m.need)} height={Math.max(0, s.y(m.need - short) - s.y(m.need))} /> : null; })}
              </g>}
            </YearDots>
          );
        }}
      </Ground>}
      {chances.length > 0 && <p class="note under">Under the months: the chance, in %, that the first gap falls there. {sum(chances.map((c) => c.p)) < 0.005 ? "" : `Dots hang at what one ${choice.drawn ? "draw" : "weather year"} covers of that month’s need.`}</p>}
    </div>
  );
}
