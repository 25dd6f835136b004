// Where does it come from?
import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import { BlendChart, Swatch } from "../charts/blend_chart";
import { Locator, MapChart, OutlineStore, geography } from "../charts/map_chart";
import type { Plan } from "../document/types";
import { lines, monthTotals, regionsDryToWet, threeYears, zero } from "../document/selections";
import type { MonthTotal, Origin, YearTotal } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { whereAnswer } from "../words/answers";
import { and, between, capital, hectares, monthShort, nPct, share, tPerHa, tonnes } from "../words/format";
import { say } from "../words/say";
import { useYear } from "../year";

export function Where({ plan, months, years, origins }: { plan: Plan; months: MonthTotal[]; years: readonly YearTotal[]; origins: Origin[] }): JSX.Element {
  return (
    <View id="where" question="Where does it come from?" answer={whereAnswer(origins, months)} notes={<>
      <p>Home regions run from dry to wet, judged by what drought takes less what waterlogging takes. Bought grain is hatched.</p>
      <p>The main chart and the map are means over all years; no single year looks like them. In single years tonnes are turned into tonnes of need at the mean rate of their source.</p>
    </>}>
      <RegionMap plan={plan} origins={origins} />
      <BlendByMonth plan={plan} years={years} origins={origins} />
    </View>
  );
}

function RegionMap({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const rows = useMemo(() => regionsDryToWet(plan), [plan]);
  const numbers = useMemo(() => new Map(rows.map(({ region }, i) => [region.region, i + 1])), [rows]);
  const small = useMemo(() => (plan.map ? geography(plan.map, 120, 160) : null), [plan]);
  const best = [...rows].filter((r) => r.region.harvested_ha).map(({ region: r }) => ({ r, t: zero(r.qualifying_t.mean) / (r.harvested_ha ?? 1) })).sort((a, b) => b.t - a.t), top = best[0], last = best[best.length - 1];
  const said = top && last && top !== last ? say`${top.r.name} brings most per hectare, ${tPerHa(top.t)} t/ha that qualifies; ${last.r.name} least, ${tPerHa(last.t)} t/ha.` : top ? say`${top.r.name} brings ${tPerHa(top.t)} t/ha that qualifies.` : say`The plan names no region.`;
  const table = rows.map(({ region: r, index: i }, n): Cell[] => [
    { node: <span class="named"><span class="index">{n + 1}</span><Locator geo={small} region={r.region} /><span dir="auto" class="full">{r.name}</span></span> },
    { v: r.planted_ha, f: hectares, at: `regions.${i}.planted_ha` },
    { v: r.yield_t_ha.p50, f: tPerHa, at: `regions.${i}.yield_t_ha.p50` }, { v: r.n_pct.p50, f: nPct, at: `regions.${i}.n_pct.p50` }, { v: r.qualifying_share.p50, f: share, at: `regions.${i}.qualifying_share.p50` },
    { v: r.qualifying_t.p10, f: tonnes, at: `regions.${i}.qualifying_t.p10` }, { v: r.qualifying_t.p50, f: tonnes, at: `regions.${i}.qualifying_t.p50` }, { v: r.qualifying_t.p90, f: tonnes, at: `regions.${i}.qualifying_t.p90` },
  ]);
  const proof = (
    <>
      <OutlineStore geo={small} />
      <Table caption="Regions from dry to wet" columns={[{ head: "region" }, { head: "planted", unit: "ha" }, { head: "yield", unit: "t/ha", group: "middle of the years (P50)" }, { head: "N", unit: "%", group: "middle of the years (P50)" }, { head: "qualifies", unit: "%", group: "middle of the years (P50)" }, { head: <>1 in 10 below <span class="term">P10</span></>, group: "qualifying t" }, { head: <>half <span class="term">P50</span></>, group: "qualifying t" }, { head: <>1 in 10 above <span class="term">P90</span></>, group: "qualifying t" }]} rows={table} />
    </>
  );
  return (
    <Figure title={plan.map ? "What qualifies from each hectare" : "What each region brings"} said={plan.map ? said : said} proof={plan.map ? proof : undefined} beside={plan.map !== null && rows.length <= 14}>
      {plan.map ? <MapChart plan={plan} map={plan.map} origins={origins} numbers={numbers} /> : proof}
    </Figure>
  );
}

function BlendByMonth({ plan, years, origins }: { plan: Plan; years: readonly YearTotal[]; origins: Origin[] }): JSX.Element {
  const [line, setLine] = useState<string | null>(null), every = lines(plan), months = useMemo(() => monthTotals(plan, line), [plan, line]), used = origins.filter((o) => o.t > 0);
  const title = every.length > 1
    ? <>Blend of origins by month, <select class="word" aria-label="Line shown" value={line ?? ""} onChange={(e) => setLine((e.target as HTMLSelectElement).value || null)}><option value="">all lines</option>{every.map((l) => <option key={l} value={l}>{l}</option>)}</select></>
    : <>Blend of origins by month</>;
  return (
    <Figure title={title} said={used.length ? say`Means over all years from ${used.length === 1 ? (used[0]?.name ?? "") : and(used.map((o) => o.name))}; the empty outline is need that stays unmet.` : say`No grain is used in any month.`} proof={<BlendTable plan={plan} line={line} origins={origins} />}>
      <BlendChart months={months} origins={origins} year={null} cropYear={plan.season.crop_year} />
      <YearPanels months={months} years={years} origins={origins} cropYear={plan.season.crop_year} />
    </Figure>
  );
}

// The same months in single weather years: three that stand for the rest, and the one that is picked. No draw stands for the rest.
function YearPanels({ months, years, origins, cropYear }: { months: MonthTotal[]; years: readonly YearTotal[]; origins: Origin[]; cropYear: number | null }): JSX.Element {
  const choice = useYear(), three = useMemo(() => (choice.drawn ? [] : threeYears(years)), [years, choice.drawn]), shown = years.find((y) => y.year === choice.shown), top = Math.max(...months.map((m) => m.need), 1) * 1.06;
  const panels = [...three.map((p) => ({ ...p, followed: false })), ...(shown ? [{ title: choice.picked === shown.year ? `the ${choice.drawn ? "draw" : "year"} you picked` : `the ${choice.drawn ? "draw" : "year"} you point at`, year: shown, followed: true }] : [])];
  if (panels.length === 0) return <></>;
  return (
    <div class="panels">
      {panels.map(({ title, year, followed }) => (
        <div class={followed ? "panel followed" : "panel"} key={followed ? "followed" : title}>
          <h4>{capital(title)}: {choice.drawn ? year.year : choice.name(year.year)}</h4>
          <p class="note">{tonnes(year.qualifying)} t qualifies{year.short ? `, ${tonnes(year.unmet)} t missing` : ", need met"}</p>
          <BlendChart months={months} origins={origins} year={year.index} cropYear={cropYear} small top={top} />
        </div>
      ))}
    </div>
  );
}

function BlendTable({ plan, line, origins }: { plan: Plan; line: string | null; origins: Origin[] }): JSX.Element {
  const rows = plan.months.flatMap((m, i): Cell[][] => (line !== null && m.line !== line ? [] : m.blend.map((b, k): Cell[] => {
    const at = `months.${i}.blend.${k}`, origin = origins.find((o) => o.members.includes(b.origin));
    return [`${monthShort(m.month)}, ${m.line}`, { node: <span class="named">{origin && <Swatch origin={origin} />}<span dir="auto">{b.origin}</span></span> }, b.source, b.crop_year === null ? "" : String(b.crop_year), { v: b.share.mean, f: share, at: `${at}.share.mean` }, { node: between(b.share, share) }, ...rangeCells(b.t, tonnes, `${at}.t`)];
  })));
  return (
    <>
      <SharesTable plan={plan} line={line} origins={origins} />
      <Table long caption="Grain used by month, line and source" columns={[{ head: "month and line" }, { head: "origin", text: true }, { head: "source", text: true }, { head: "crop" }, { head: "share", unit: "%" }, { head: "8 in 10 between", unit: "%" }, ...rangeColumns("tonnes used")]} rows={rows} />
    </>
  );
}

// The blend as a buyer reads it: a month a row, an origin a column, shares of what is used.
function SharesTable({ plan, line, origins }: { plan: Plan; line: string | null; origins: Origin[] }): JSX.Element {
  const shown = origins.filter((o) => o.t > 0), rows = monthTotals(plan, line).map((m): Cell[] => {
    const used = m.parts.reduce((a, p) => a + zero(p.blend.t.mean), 0);
    return [monthShort(m.month), ...shown.map((o): Cell => ({ v: used > 0 ? m.parts.filter((p) => o.members.includes(p.blend.origin)).reduce((a, p) => a + zero(p.blend.t.mean), 0) / used : null, f: share })), { v: used, f: tonnes }, { v: m.unmet, f: tonnes }];
  });
  return <Table caption="Share of each origin in what is used" columns={[{ head: "month" }, ...shown.map((o) => ({ head: <><Swatch origin={o} /> <span dir="auto">{o.name}</span></>, group: "share of what is used, %" })), { head: "used", unit: "t" }, { head: "missing", unit: "t" }]} rows={rows} />;
}
