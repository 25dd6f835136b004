// Origins by month as stacked bars of means under the need; the same chart small for single weather years.
import * as Plot from "@observablehq/plot";
import type { JSX } from "preact";
import type { Blend } from "../document/types";
import { kShortShare, zero } from "../document/selections";
import type { MonthTotal, Origin } from "../document/selections";
import { colourOf, fillOf } from "../look/origins";
import { useWidth } from "../parts/screen";
import { Ground } from "./ground";
import { monthAxis, tonneAxis } from "./months";

interface Bar { month: string; origin: Origin; old: boolean; y1: number; y2: number }

// The document gives single years in tonnes as weighed; bars stand against need, so they take the mean rate of need tonnes to tonnes.
const needRate = (b: Blend): number => (zero(b.t.mean) > 0 ? zero(b.t_equiv.mean) / zero(b.t.mean) : 1);

const isOld = (crop: number | null, season: number | null): boolean => crop !== null && season !== null && crop < season;

/** Bars of one chart: means (year null) or one weather year by its place in the document. */
function stack(months: readonly MonthTotal[], origins: readonly Origin[], year: number | null, cropYear: number | null): { bars: Bar[]; unmet: { month: string; y1: number; y2: number }[] } {
  const bars: Bar[] = [], unmet: { month: string; y1: number; y2: number }[] = [];
  for (const m of months) {
    let y = 0;
    for (const old of [true, false]) for (const origin of origins) {
      let t = 0;
      for (const p of m.parts) if (origin.members.includes(p.blend.origin) && isOld(p.blend.crop_year, cropYear) === old) t += year === null ? p.t : zero(p.blend.by_year_t[year] ?? null) * needRate(p.blend);
      if (t > 0) bars.push({ month: m.month, origin, old, y1: y, y2: y + t });
      y += t;
    }
    const short = year === null ? m.unmet : (m.unmetByYear[year] ?? 0);
    if (short > kShortShare * m.need) unmet.push({ month: m.month, y1: m.need - short, y2: m.need });
  }
  return { bars, unmet };
}

/** The first month in which grain of the season's own crop is used. */
function firstNewCrop(months: readonly MonthTotal[], cropYear: number | null): string | undefined {
  return months.find((m) => m.parts.some((p) => cropYear !== null && p.blend.crop_year !== null && p.blend.crop_year >= cropYear && p.t > 0.02 * m.need))?.month;
}

/** Origins named at the right of the chart, each beside its own bars, pushed apart where they would touch. */
function sideLabels(bars: readonly Bar[], origins: readonly Origin[], months: readonly string[], y: (t: number) => number, height: number): { origin: Origin; y: number; from: number }[] {
  const rows = origins.flatMap((origin) => {
    for (let i = months.length - 1; i >= 0; --i) {
      const bar = bars.find((b) => b.origin === origin && b.month === months[i]);
      if (bar) return [{ origin, from: y((bar.y1 + bar.y2) / 2), y: y((bar.y1 + bar.y2) / 2) }];
    }
    return [];
  }).sort((a, b) => b.y - a.y);
  for (let i = 1; i < rows.length; ++i) rows[i]!.y = Math.min(rows[i]!.y, rows[i - 1]!.y - 16);
  return rows.map((r, i) => ({ ...r, y: Math.min(height, Math.max(r.y, 8 + 16 * (rows.length - 1 - i))) }));
}

export function BlendChart({ months, origins, year, cropYear, small, top: given }: { months: MonthTotal[]; origins: Origin[]; year: number | null; cropYear: number | null; small?: boolean; top?: number }): JSX.Element {
  const [ref, width] = useWidth(small ? 320 : 672), names = months.map((m) => m.month);
  const side = !small && width >= 560, left = small ? 8 : 58, right = side ? 148 : 8;
  const height = small ? 150 : width < 560 ? 340 : 420, bottom = small ? 34 : 62, step = (width - left - right) / Math.max(names.length, 1), inset = Math.max(0.5, step * 0.07);
  const { bars, unmet } = stack(months, origins, year, cropYear), top = given ?? Math.max(...months.map((m) => m.need), ...bars.map((b) => b.y2), 1) * 1.04;
  const turn = firstNewCrop(months, cropYear), oldFirst = bars.some((b) => b.old) && turn !== undefined && names.indexOf(turn) * step > 150;
  const options: Plot.PlotOptions = {
    width, height, marginLeft: left, marginRight: right, marginBottom: bottom, marginTop: small ? 6 : 22,
    x: { domain: names, type: "band", padding: 0 }, y: { domain: [0, top], ...(small ? { axis: null } : {}) },
    marks: [
      ...(small ? [Plot.ruleY([0], { stroke: "var(--line)" })] : tonneAxis()), ...monthAxis(names, small ? Math.min(step, 20) : step, !small),
      Plot.rect(bars.filter((b) => b.old), { x: "month", y1: "y1", y2: "y2", fill: { value: (b: Bar) => fillOf(b.origin), scale: null } as unknown as string, insetLeft: step * 0.25, insetRight: step * 0.25 }),
      Plot.rect(bars.filter((b) => !b.old), { x: "month", y1: "y1", y2: "y2", fill: { value: (b: Bar) => fillOf(b.origin), scale: null } as unknown as string, stroke: "var(--paper)", strokeWidth: small ? 0.4 : 0.8, insetLeft: inset, insetRight: inset }),
      Plot.rect(unmet, { x: "month", y1: "y1", y2: "y2", fill: "var(--paper)", stroke: "var(--ink)", strokeDasharray: "3 2", strokeWidth: small ? 1 : 1.4, insetLeft: inset + 0.6, insetRight: inset + 0.6 }),
      Plot.tickY(months, { x: "month", y: "need", stroke: "var(--ink)", strokeWidth: small ? 1.4 : 2.5 }),
      ...(small ? [] : [
        Plot.text(months.slice(0, 1), { x: "month", y: "need", text: () => "need", dy: -9, dx: -step / 2 + inset, textAnchor: "start", fontWeight: 600 }),
        ...(turn ? [Plot.text([turn], { x: (m: string) => m, frameAnchor: "bottom", dy: 55, dx: -step / 2, textAnchor: "start", text: () => `wide bars: crop ${cropYear ?? ""}`, fontWeight: 600 }), Plot.ruleX([turn], { x: (m: string) => m, dx: -step / 2, insetBottom: -60, stroke: "var(--ink)", strokeWidth: 1 }),
          ...(oldFirst ? [Plot.text(names.slice(0, 1), { x: (m: string) => m, frameAnchor: "bottom", dy: 55, dx: -step / 2, textAnchor: "start", text: () => "narrow bars: old crop", fontWeight: 600 })] : [])] : []),
      ]),
    ],
  };
  return (
    <div ref={ref}>
      {!small && !side && width > 0 && <OriginKey origins={origins} />}
      {width > 0 && <Ground options={options} deps={[months, origins, year, width, top]}>
        {(s) => side && <svg class="over still" viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true">
          {sideLabels(bars, origins, names, (t) => s.y(t), height - bottom).map((l) => (
            <g key={l.origin.name}>
              <path class="lead" d={`M${width - right + 2},${l.from}h6L${width - right + 14},${l.y}`} />
              <rect x={width - right + 16} y={l.y - 5} width={10} height={10} style={{ fill: fillOf(l.origin) }} />
              <text x={width - right + 30} y={l.y} dy="0.35em">{clip(l.origin.name, 17)}</text>
            </g>
          ))}
        </svg>}
      </Ground>}
    </div>
  );
}

export const clip = (s: string, most: number): string => { const all = [...s.replace(/[\u0000-\u001f\u2028\u2029\u202a-\u202e]/g, " ")]; return all.length > most ? `${all.slice(0, most - 1).join("").trimEnd()}…` : all.join(""); };

/** Origins named in a row, each with its swatch: where there is no room beside the bars. */
export function OriginKey({ origins }: { origins: Origin[] }): JSX.Element {
  return <p class="key">{origins.filter((o) => o.t > 0).map((o) => <span key={o.name}><Swatch origin={o} /> <bdi>{o.name}</bdi> </span>)}</p>;
}

export function Swatch({ origin }: { origin: Origin }): JSX.Element {
  return <svg class="swatch" width="10" height="10" aria-hidden="true"><rect width="10" height="10" style={{ fill: fillOf(origin), stroke: colourOf(origin) }} /></svg>;
}
