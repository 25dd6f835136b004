// Where the grain goes: from what the season could have grown to what qualifies, for one region or all, on average and in a picked year.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { CausesChart } from "../charts/causes_chart";
import type { Figure as Value, Plan, Region, RegionYear, Step } from "../document/types";
import { kCauses, kLosses, kSteps } from "../document/types";
import { sum, zero } from "../document/selections";
import { Figure } from "../parts/figure";
import { Table } from "../parts/table";
import type { Cell } from "../parts/table";
import { and, share, tPerHa, tonnes } from "../words/format";
import { joined, say, word } from "../words/say";
import type { Sentence } from "../words/say";
import { useYear } from "../year";

type Row = { region: Region; index: number };
type Amounts = Record<Step, number>;
const kWords: Record<Step, string> = {
  attainable: "could have grown", sowing: "late or wet sowing", water: "too little water", waterlogging: "waterlogged soil", frost: "frost", heat: "heat", harvest: "wet harvest",
  nitrogen: "nitrogen", screenings: "thin grain", germination: "germination", other: "other failures", qualifying: "qualifies",
};
const kTaken: readonly Step[] = [...kLosses, ...kCauses];
const isWhole = (k: Step): boolean => k === "attainable" || k === "qualifying";

const yearOf = (r: Region, year: number | null): RegionYear | undefined => r.by_year.find((y) => y.year === year);
const added = (list: readonly Record<Step, Value>[]): Amounts => Object.fromEntries(kSteps.map((k) => [k, sum(list.map((c) => zero(c[k])))])) as Amounts;

export function Causes({ plan, rows }: { plan: Plan; rows: Row[] }): JSX.Element {
  const [chosen, choose] = useState<string | null>(null), choice = useYear(), formulas = plan.season.model === "formulas";
  const shown = rows.filter(({ region: r }) => chosen === null || r.region === chosen).map(({ region }) => region), known = shown.length > 0 && shown.every((r) => r.causes.attainable !== null);
  const years = shown.map((r) => yearOf(r, choice.shown)), picked = choice.shown !== null && years.every((y) => y !== undefined && y.causes.attainable !== null) ? choice.shown : null;
  const mean = added(shown.map((r) => r.causes)), year = picked === null ? null : added(years.flatMap((y) => (y ? [y.causes] : [])));
  // Causes that take nothing worth a line, in the mean or in the year, stay in the table.
  const least = 0.002 * mean.attainable, drawn = kSteps.filter((k) => isWhole(k) || Math.abs(mean[k]) >= least || Math.abs(year?.[k] ?? 0) >= least);
  const title = rows.length > 1
    ? <>Where the grain goes, <select class="word" aria-label="Region shown" value={chosen ?? ""} onChange={(e) => choose((e.target as HTMLSelectElement).value || null)}><option value="">all regions</option>{rows.map(({ region: r }) => <option key={r.region} value={r.region}>{r.name}</option>)}</select></>
    : <>Where the grain goes</>;
  if (!known) return <Figure title="Where the grain goes" said={say`The plan does not say where grain is lost.`} />;
  return (
    <Figure title={title} said={causesSaid(mean, year, picked === null ? null : choice.name(picked), shown.length === 1 ? (years[0]?.drivers ?? []) : [], formulas)} proof={<CausesTables rows={rows} formulas={formulas} year={picked} yearName={picked === null ? "" : choice.name(picked)} />}>
      <CausesChart rows={drawn.map((k) => ({ words: kWords[k], mean: mean[k], year: year?.[k] ?? null, whole: isWhole(k) }))} yearName={picked === null ? null : choice.name(picked)} />
      <p class="note">{formulas ? "The yield formulas give no losses in the field." : "Could have grown: light and warmth of the season on the harvested hectares, sown on the planned day, with nothing lost. Too little water is counted against a crop that never lacks it."} Other failures also hold what the draws of a year move.{picked === null && " Pick a year at the foot of the page to lay it under the mean."}</p>
    </Figure>
  );
}

// In a mean year, and what set the picked year apart: in the document's own words for one region, by sums for all.
function causesSaid(mean: Amounts, year: Amounts | null, name: string | null, drivers: readonly string[], formulas: boolean): Sentence {
  if (!(mean.attainable > 0)) return say`Nothing is grown here in this plan.`;
  const most = [...kTaken].sort((a, b) => mean[b] - mean[a]).slice(0, 2).filter((k) => mean[k] >= 0.5);
  const start = say`Of ${tonnes(mean.attainable)} t that ${word(formulas ? "are harvested" : "the season could have grown")}, ${tonnes(mean.qualifying)} t qualify in a mean year${word(most.length ? `; most goes to ${and(most.map((k) => `${kWords[k]} (${tonnes(mean[k])} t)`))}.` : ".")}`;
  if (year === null || name === null) return start;
  const against = year.qualifying - mean.qualifying, size = say`In ${name}, ${tonnes(year.qualifying)} t qualify, ${tonnes(Math.abs(against))} t ${word(against < 0 ? "less" : "more")} than in the mean`;
  if (drivers.length) return joined(start, [...size, ...say`: ${word(drivers.map((d) => d.replace(/: /, ", ")).join("; "))}.`]);
  const sign = against < 0 ? 1 : -1, apart = [...kTaken].map((k) => ({ k, t: sign * (year[k] - mean[k]) })).sort((a, b) => b.t - a.t)[0], grown = sign * (mean.attainable - year.attainable);
  if (grown > (apart?.t ?? 0) && grown >= 0.5) return joined(start, [...size, ...say`, ${word(against < 0 ? "most of it a dull or short season" : "most of it a bright, long season")} (${tonnes(grown)} t).`]);
  return joined(start, apart && apart.t >= 0.5 ? [...size, ...say`; ${word(kWords[apart.k])} took ${tonnes(apart.t)} t ${word(against < 0 ? "more" : "less")}.`] : [...size, ...say`.`]);
}

function CausesTables({ rows, formulas, year, yearName }: { rows: Row[]; formulas: boolean; year: number | null; yearName: string }): JSX.Element {
  const taken = formulas ? kCauses : kTaken, steps: Step[] = ["attainable", ...taken, "qualifying"], sums = taken.map((k) => ({ k, t: sum(rows.map(({ region: r }) => Math.abs(zero(r.causes[k])))) })), few = new Set<Step>(["attainable", "qualifying", ...[...sums].sort((a, b) => b.t - a.t).slice(0, 2).map((x) => x.k)]);
  const columns = steps.map((k) => ({ head: kWords[k], group: isWhole(k) ? "" : kLosses.includes(k as never) ? "lost in the field, t" : "turned away at intake, t", extra: !few.has(k) }));
  return (
    <>
      <Table caption="Where the grain of each region goes, mean of the years" columns={[{ head: "region" }, ...columns]} rows={rows.map(({ region: r, index: i }): Cell[] => [r.name, ...steps.map((k) => ({ v: r.causes[k], f: tonnes, at: `regions.${i}.causes.${k}_t` }))])} />
      {year !== null && <Table caption={`Where the grain of each region goes in ${yearName}`} columns={[{ head: `region, ${yearName}` }, ...columns]} rows={rows.map(({ region: r, index: i }): Cell[] => { const n = r.by_year.findIndex((y) => y.year === year); return [r.name, ...steps.map((k) => ({ v: r.by_year[n]?.causes[k] ?? null, f: tonnes, at: `regions.${i}.by_year.${n}.causes.${k}_t` }))]; })} />}
      <Losses rows={rows} formulas={formulas} />
      {year !== null && <Table caption={`What set ${yearName} apart`} class="prose" columns={[{ head: "region" }, { head: `in ${yearName}`, text: true }, { head: "qualifies", unit: "t" }, { head: "of what is harvested", unit: "%" }]} rows={rows.map(({ region: r, index: i }): Cell[] => { const n = r.by_year.findIndex((y) => y.year === year), y = r.by_year[n]; return [r.name, y?.drivers.join("; ") ?? "", { v: y?.qualifying_t ?? null, f: tonnes, at: `regions.${i}.by_year.${n}.qualifying_t` }, { v: y?.qualifying_share ?? null, f: share, at: `regions.${i}.by_year.${n}.qualifying_share` }]; })} />}
    </>
  );
}

// The same per hectare, as bars, so that regions of unlike size compare.
function Losses({ rows, formulas }: { rows: Row[]; formulas: boolean }): JSX.Element {
  const losses = formulas ? [] : kLosses, most = Math.max(1e-9, ...rows.flatMap(({ region: r }) => kLosses.map((k) => zero(r.loss_t_ha[k]))));
  const perHa = (r: Region, v: Value): Value => (v === null || !r.harvested_ha ? null : v / r.harvested_ha);
  const mostCause = Math.max(1e-9, ...rows.flatMap(({ region: r }) => kCauses.map((k) => zero(perHa(r, r.rejected_by_cause_t[k])))));
  const bar = (v: Value, top: number, at: string, raw: Value): JSX.Element => <span class="bar-cell" data-at={at} data-v={raw === null ? "null" : String(raw)}><span class="bar" style={{ width: `${Math.max(0, Math.round((36 * zero(v)) / top))}px` }} />{tPerHa(v)}</span>;
  // On a phone only what costs most: two kinds of loss and one cause.
  const by = (list: readonly { k: string; v: number }[]) => [...list].sort((a, b) => b.v - a.v);
  const few = new Set<string>([...by(losses.map((k) => ({ k: k as string, v: sum(rows.map(({ region: r }) => zero(r.loss_t_ha[k]) * zero(r.harvested_ha))) }))).slice(0, 2), ...by(kCauses.map((k) => ({ k: k as string, v: sum(rows.map(({ region: r }) => zero(r.rejected_by_cause_t[k]))) }))).slice(0, 1)].map((x) => x.k));
  return (
    <Table caption="Mean losses per hectare" class="causes" columns={[{ head: "region" }, ...losses.map((k) => ({ head: kWords[k], group: "lost in the field, t/ha", extra: !few.has(k) })), ...kCauses.map((k) => ({ head: kWords[k], group: "turned away at intake, t/ha", extra: !few.has(k) }))]}
      rows={rows.map(({ region: r, index: i }): Cell[] => [r.name, ...losses.map((k) => ({ node: bar(r.loss_t_ha[k], most, `regions.${i}.loss_t_ha.${k}`, r.loss_t_ha[k]) })), ...kCauses.map((k) => ({ node: bar(perHa(r, r.rejected_by_cause_t[k]), mostCause, `regions.${i}.rejected_by_cause_t.${k}`, r.rejected_by_cause_t[k]) }))])} />
  );
}
