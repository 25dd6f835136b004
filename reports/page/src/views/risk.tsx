// What could go wrong, and why?
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { RegionDots } from "../charts/region_dots";
import { ShortTogether, TotalStrip } from "../charts/together";
import type { Figure as Value, Plan, Region } from "../document/types";
import { kCauses, kLosses } from "../document/types";
import type { YearTotal } from "../document/selections";
import { regionsDryToWet, zero } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { riskAnswer, worstYears } from "../words/answers";
import { daySpan, nPct, pct1, tPerHa, tonnes } from "../words/format";
import { say, word } from "../words/say";
import type { Sentence } from "../words/say";

const kLossWords: Record<(typeof kLosses)[number], string> = { sowing: "wet sowing", water: "drought", waterlogging: "waterlogging", heat: "heat", frost: "frost", harvest: "wet harvest" };
const kCauseWords: Record<(typeof kCauses)[number], string> = { nitrogen: "nitrogen", screenings: "thin grain", germination: "germination", other: "other" };
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
      <Causes rows={rows} formulas={formulas} />
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

// Mean losses in the field and rejections at intake, as a table whose cells are bars.
function Causes({ rows, formulas }: { rows: Row[]; formulas: boolean }): JSX.Element {
  const losses = formulas ? [] : kLosses, most = Math.max(1e-9, ...rows.flatMap(({ region: r }) => kLosses.map((k) => zero(r.loss_t_ha[k]))));
  const perHa = (r: Region, v: Value): Value => (v === null || !r.harvested_ha ? null : v / r.harvested_ha);
  const mostCause = Math.max(1e-9, ...rows.flatMap(({ region: r }) => kCauses.map((k) => zero(perHa(r, r.rejected_by_cause_t[k])))));
  const bar = (v: Value, top: number, at: string, raw: Value): JSX.Element => <span class="bar-cell" data-at={at} data-v={raw === null ? "null" : String(raw)}><span class="bar" style={{ width: `${Math.round((36 * zero(v)) / top)}px` }} />{tPerHa(v)}</span>;
  const total = (list: readonly { k: string; v: number }[]) => [...list].sort((a, b) => b.v - a.v);
  const worst = total([...kLosses.map((k) => ({ k: kLossWords[k], v: rows.reduce((a, { region: r }) => a + zero(r.loss_t_ha[k]) * zero(r.harvested_ha), 0) })), ...kCauses.map((k) => ({ k: `${kCauseWords[k]} at intake`, v: rows.reduce((a, { region: r }) => a + zero(r.rejected_by_cause_t[k]), 0) }))])[0];
  // On a phone only what costs most: two kinds of loss and one cause.
  const few = new Set<string>([...total([...losses].map((k) => ({ k: k as string, v: rows.reduce((a, { region: r }) => a + zero(r.loss_t_ha[k]) * zero(r.harvested_ha), 0) }))).slice(0, 2), ...total(kCauses.map((k) => ({ k: k as string, v: rows.reduce((a, { region: r }) => a + zero(r.rejected_by_cause_t[k]), 0) }))).slice(0, 1)].map((x) => x.k));
  const said = worst && worst.v > 0 ? say`Most is lost to ${worst.k}: ${tonnes(worst.v)} t in a mean year over all regions${word(worst.k === kLossWords.water ? ", against a crop that never lacks water" : "")}.` : say`No losses are given.`;
  return (
    <Figure title="Why grain is lost or turned away" said={formulas ? said.concat(say` The yield formulas give no losses in the field.`) : said} class="text-wide">
      <Table caption="Mean losses in the field and rejections at intake" class="causes" columns={[{ head: "region" }, ...losses.map((k) => ({ head: kLossWords[k], group: "lost in the field, t/ha", extra: !few.has(k) })), ...kCauses.map((k) => ({ head: kCauseWords[k], group: "turned away at intake, t/ha", extra: !few.has(k) }))]}
        rows={rows.map(({ region: r, index: i }): Cell[] => [r.name, ...losses.map((k) => ({ node: bar(r.loss_t_ha[k], most, `regions.${i}.loss_t_ha.${k}`, r.loss_t_ha[k]) })), ...kCauses.map((k) => ({ node: bar(perHa(r, r.rejected_by_cause_t[k]), mostCause, `regions.${i}.rejected_by_cause_t.${k}`, r.rejected_by_cause_t[k]) }))])} />
      {!formulas && <p class="note">Drought is what is lost against a crop that never lacks water.</p>}
    </Figure>
  );
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
      {rows.length > some.length && <p class="note">The first {some.length} of {rows.length} regions; the rest are in sowing.csv.</p>}
    </>
  );
}
