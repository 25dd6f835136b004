// What could go wrong, and why?
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { RegionDots } from "../charts/region_dots";
import { ShortTogether, TotalStrip } from "../charts/together";
import type { Plan, Region } from "../document/types";
import type { YearTotal } from "../document/selections";
import { regionsDryToWet, zero } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { riskAnswer, worstYears } from "../words/answers";
import { count, daySpan, nPct, pct1, share, tPerHa, tonnes } from "../words/format";
import { say, word } from "../words/say";
import type { Sentence } from "../words/say";
import { Causes } from "./causes";

type Row = { region: Region; index: number };

export function Risk({ plan, years }: { plan: Plan; years: readonly YearTotal[] }): JSX.Element {
  const rows = useMemo(() => regionsDryToWet(plan), [plan]), formulas = plan.season.model === "formulas";
  return (
    <View id="risk" question="What could go wrong, and why?" answer={riskAnswer(plan)} detail={worstYears(plan, years) ?? undefined} notes={<>
      <p>Each dot is one {formulas ? "drawn year" : "past weather year"}. The band holds 8 outcomes in 10 and is wider than the dots: it also carries luck between farms inside a year.</p>
      {formulas ? <p>No weather was read: the {years.length} years are drawn from stated spreads, not taken from the past. How sure the edges are hangs on those spreads.</p>
        : <p>The bracket under a band is how far its edge could move with another {years.length} years.</p>}
    </>}>
      <Figure title="All regions together" said={togetherSaid(plan)} proof={<TotalTable plan={plan} />}><TotalStrip plan={plan} /></Figure>
      <Figure title="Region by region, dry to wet" said={widest(rows)} proof={<RegionTables rows={rows} />}><RegionDots rows={rows} /></Figure>
      <Causes plan={plan} rows={rows} />
      {plan.regions.length > 1 && <Figure title="Who falls short together" said={togetherCount(rows, years, formulas)} proof={<YearTable rows={rows} plan={plan} />}><ShortTogether rows={rows} years={years} /></Figure>}
    </View>
  );
}

function togetherSaid(plan: Plan): Sentence {
  const s = plan.supply.sampling.p10, q = plan.supply.qualifying_t;
  if (plan.season.model === "formulas") return say`Half of all draws bring more than ${tonnes(q.p50)} t. The spread is drawn, not seen in past weather.`;
  return s[0] === null || s[1] === null ? say`Half of the time between the band’s left edge and its middle line or beyond.` : say`Half of all outcomes bring more than ${tonnes(q.p50)} t. From ${plan.years.length} years the lean edge is known only to ${tonnes(s[0])}–${tonnes(s[1])} t.`;
}

const spread = (r: Region): number => (zero(r.qualifying_t.p90) - zero(r.qualifying_t.p10)) / Math.max(zero(r.qualifying_t.p50), 1e-9);
function widest(rows: readonly Row[]): Sentence {
  const sorted = [...rows].sort((a, b) => spread(b.region) - spread(a.region)), most = sorted[0], least = sorted[sorted.length - 1];
  if (!most) return say`The plan names no region.`;
  const q = most.region.qualifying_t, start = say`Least sure is ${most.region.name}: 8 times in 10 it brings ${tonnes(q.p10)} to ${tonnes(q.p90)} t`;
  return least && least !== most ? [...start, ...say`. Surest is ${least.region.name}.`] : [...start, ...say`.`];
}

function togetherCount(rows: readonly Row[], years: readonly YearTotal[], drawn: boolean): Sentence {
  const middle = rows.map(({ region: r }) => { const v = r.by_year.map((y) => zero(y.qualifying_t)).sort((a, b) => a - b); return v[Math.floor(v.length / 2)] ?? 0; });
  const lean = years.filter((y) => rows.filter(({ region: r }, i) => zero(r.by_year.find((x) => x.year === y.year)?.qualifying_t ?? null) < 0.95 * (middle[i] ?? 0)).length > rows.length / 2).length;
  return say`In ${lean} of ${years.length} ${word(drawn ? "drawn years" : "years")} more than half of the regions fall at least 5 % under their own middle year at once.`;
}

function TotalTable({ plan }: { plan: Plan }): JSX.Element {
  const s = plan.supply;
  return (
    <Table caption="Total qualifying grain" columns={[{ head: "" }, ...rangeColumns("qualifying t")]} rows={[
      ["same weather for all regions", ...rangeCells(s.qualifying_t, tonnes, "supply.qualifying_t")],
      ["if each went its own way", ...rangeCells(s.if_regions_were_independent, tonnes, "supply.if_regions_were_independent")],
      ...(plan.season.model === "formulas" ? [] : [[`could be as low as, from ${plan.years.length} years`, "", ...(["p10", "p50", "p90"] as const).map((k) => ({ v: s.sampling[k][0], f: tonnes, at: `supply.sampling.${k}.0` }))],
      ["could be as high as", "", ...(["p10", "p50", "p90"] as const).map((k) => ({ v: s.sampling[k][1], f: tonnes, at: `supply.sampling.${k}.1` }))]] as Cell[][]),
    ]} />
  );
}

function RegionTables({ rows }: { rows: Row[] }): JSX.Element {
  return (
    <>
      <Table caption="Grain by region" columns={[{ head: "region" }, ...rangeColumns("offered t"), ...rangeColumns("qualifying t")]} rows={rows.map(({ region: r, index: i }) => [r.name, ...rangeCells(r.offered_t, tonnes, `regions.${i}.offered_t`), ...rangeCells(r.qualifying_t, tonnes, `regions.${i}.qualifying_t`)])} />
      <Table caption="Yield and nitrogen by region" columns={[{ head: "region" }, ...rangeColumns("yield t/ha"), ...rangeColumns("N % of all grain"), ...rangeColumns("N % of what qualifies")]} rows={rows.map(({ region: r, index: i }) => [r.name, ...rangeCells(r.yield_t_ha, tPerHa, `regions.${i}.yield_t_ha`), ...rangeCells(r.n_pct, nPct, `regions.${i}.n_pct`), ...rangeCells(r.n_accepted_pct, nPct, `regions.${i}.n_accepted_pct`)])} />
      <Table caption="Thin grain and dates by region" columns={[{ head: "region" }, { head: "screenings", unit: "%" }, { head: "sown", text: true }, { head: "ripe", text: true }, { head: "harvested", text: true }]} rows={rows.map(({ region: r, index: i }) => [r.name, { v: r.screenings_pct.p50, f: pct1, at: `regions.${i}.screenings_pct.p50` }, daySpan(r.sown), daySpan(r.ripe), daySpan(r.harvested)])} />
      {rows.some(({ region: r }) => r.harvest_weather.combine_days !== null) && <Table caption="Weather at harvest by region, means over the years" columns={[{ head: "region" }, { head: "combine days", unit: "in the window" }, { head: "wet days", unit: "ripe to cut" }, { head: <>cut late <span class="term">assumed</span></>, unit: "% of the crop" }, { head: "moisture", unit: "% at harvest" }]}
        rows={rows.map(({ region: r, index: i }) => [r.name, { v: r.harvest_weather.combine_days, f: (v) => count(v, 1), at: `regions.${i}.harvest_weather.combine_days` }, { v: r.harvest_weather.wet_days, f: (v) => count(v, 1), at: `regions.${i}.harvest_weather.wet_days` }, { v: r.harvest_weather.late_share, f: share, at: `regions.${i}.harvest_weather.late_share` }, { v: r.harvest_weather.moisture_pct, f: pct1, at: `regions.${i}.harvest_weather.moisture_pct` }])} />}
      <Table caption="What drives each region, and what to know of it" class="prose" columns={[{ head: "region" }, { head: "drivers and notes", text: true }]} rows={rows.map(({ region: r }) => [r.name, [...r.drivers, ...r.suitability].join("; ")])} />
      {rows.some(({ region: r }) => r.drivers.some((d) => d.startsWith("too little water"))) && <p class="note">Too little water is counted against a crop that never lacks water.</p>}
    </>
  );
}

function YearTable({ rows, plan }: { rows: Row[]; plan: Plan }): JSX.Element {
  const some = rows.slice(0, 12);
  return (
    <>
      <Table long caption="Qualifying tonnes by year and region" columns={[{ head: plan.season.model === "formulas" ? "draw" : "year" }, ...some.map(({ region }) => ({ head: <span dir="auto">{region.name}</span> })), { head: "all regions" }]}
        rows={plan.supply.by_year.map((y, i): Cell[] => [String(y.year), ...some.map(({ region: r, index }): Cell => { const k = r.by_year.findIndex((x) => x.year === y.year), v = r.by_year[k]?.qualifying_t ?? null; return { v, f: tonnes, ...(k >= 0 ? { at: `regions.${index}.by_year.${k}.qualifying_t` } : {}) }; }), { v: y.qualifying_t, f: tonnes, at: `supply.by_year.${i}.qualifying_t` }])} />
      {rows.length > some.length && <p class="note">The first {some.length} of {rows.length} regions; the rest are in region_years.csv.</p>}
    </>
  );
}
