// What is left in store at the end of each month: means by origin, old crop narrow, in the colours of the blend.
import * as Plot from "@observablehq/plot";
import type { JSX } from "preact";
import type { Plan } from "../document/types";
import { zero } from "../document/selections";
import type { Origin } from "../document/selections";
import { fillOf } from "../look/origins";
import { useWidth } from "../parts/screen";
import { OriginKey } from "./blend_chart";
import { Ground } from "./ground";
import { monthAxis, tonneAxis } from "./months";

interface Bar { month: string; origin: Origin; old: boolean; y1: number; y2: number }

export function StockChart({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const [ref, width] = useWidth(), names = [...new Set(plan.months.map((m) => m.month))].sort(), season = plan.season.crop_year, bars: Bar[] = [];
  for (const month of names) {
    let y = 0;
    for (const old of [true, false]) for (const origin of origins) {
      let t = 0;
      for (const s of plan.stock) if (s.month === month && origin.members.includes(s.origin) && (s.crop_year !== null && season !== null && s.crop_year < season) === old) t += zero(s.closing_t.mean);
      if (t > 0) bars.push({ month, origin, old, y1: y, y2: (y += t) });
    }
  }
  const left = 58, step = (width - left - 8) / Math.max(names.length, 1);
  const draw = (old: boolean): Plot.Markish => Plot.rect(bars.filter((b) => b.old === old), { x: "month", y1: "y1", y2: "y2", fill: { value: (b: Bar) => fillOf(b.origin), scale: null } as unknown as string, stroke: "var(--paper)", strokeWidth: old ? 0 : 0.8, insetLeft: step * (old ? 0.25 : 0.07), insetRight: step * (old ? 0.25 : 0.07) });
  const options: Plot.PlotOptions = {
    width, height: 240, marginLeft: left, marginRight: 8, marginTop: 22, marginBottom: 44, x: { domain: names, type: "band", padding: 0 }, y: { domain: [0, Math.max(1, ...bars.map((b) => b.y2)) * 1.04] },
    marks: [...tonneAxis("t left"), ...monthAxis(names, step), draw(true), draw(false), Plot.ruleY([0], { stroke: "var(--ink)" })],
  };
  const kept = new Set(bars.map((b) => b.origin));
  return <div ref={ref}><OriginKey origins={origins.filter((o) => kept.has(o))} />{width > 0 && <Ground options={options} deps={[plan, origins, width]} />}</div>;
}
