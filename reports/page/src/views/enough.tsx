// Will we have enough?
import type { JSX } from "preact";
import { CoverChart, coverParts, kCoverKinds } from "../charts/cover_chart";
import type { Plan } from "../document/types";
import { kShortShare, scenarios } from "../document/selections";
import type { MonthTotal, Origin, YearTotal } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { enoughAnswer, enoughDetail } from "../words/answers";
import { monthName, monthShort, pct1, plural, share, tonnes } from "../words/format";
import { say } from "../words/say";
import { useYear } from "../year";

export function Enough({ plan, months, years, origins }: { plan: Plan; months: MonthTotal[]; years: readonly YearTotal[]; origins: Origin[] }): JSX.Element {
  const gaps = months.filter((m) => m.unmet > kShortShare * m.need && m.unmet > 0), deepest = [...gaps].sort((a, b) => b.unmet - a.unmet)[0];
  const said = deepest ? say`On average a gap opens in ${plural(gaps.length, "month")} of ${months.length}; the deepest is ${monthName(deepest.month)}, ${tonnes(deepest.unmet)} t of ${tonnes(deepest.need)} t.` : say`In no month is a gap left on average.`;
  return (
    <View id="enough" question="Will we have enough?" answer={enoughAnswer(plan, years)} detail={enoughDetail(plan)} notes={<EnoughNotes plan={plan} />}>
      <Figure title="Need against cover, month by month" said={said} proof={<CoverTables plan={plan} months={months} origins={origins} />}>
        <CoverChart plan={plan} months={months} origins={origins} />
      </Figure>
      <ShortYears years={years} />
    </View>
  );
}

function EnoughNotes({ plan }: { plan: Plan }): JSX.Element {
  const s = plan.season, run = scenarios(plan), one = run !== null && run.eachYear === 1;
  return (
    <>
      <p>Grain counts when its nitrogen is at or under the limit of <a href="#assumptions"><b>{s.limit_n_pct === null ? "–" : s.limit_n_pct.toFixed(2)}</b> %</a>, your choice{s.stop_n_pct !== null && s.limit_n_pct !== null && s.stop_n_pct > s.limit_n_pct ? <>, or with a claim up to {s.stop_n_pct.toFixed(2)} %</> : ""}.</p>
      <p>A {s.model === "formulas" ? "drawn year" : "year"} counts as <b>short</b> when more than {pct1(100 * kShortShare)} % of its need is missing{one || s.model === "formulas" ? "" : run ? `, taking the mean of its ${run.eachYear} draws` : ", by its mean"}.{run && !one ? ` The chance in the text counts each of the ${run.count} draws by itself.` : ""}</p>
    </>
  );
}

function CoverTables({ plan, months, origins }: { plan: Plan; months: MonthTotal[]; origins: Origin[] }): JSX.Element {
  const perLine: Cell[][] = plan.months.map((m, i) => [`${monthShort(m.month)}, ${m.line}`, { v: m.need_t, f: tonnes, at: `months.${i}.need_t` }, ...rangeCells(m.unmet_t, tonnes, `months.${i}.unmet_t`)]);
  const totals: Cell[][] = months.map((m) => [monthShort(m.month), { v: m.need, f: tonnes }, ...coverParts(m, origins, plan.season.crop_year).map((v) => ({ v, f: tonnes })), { v: m.unmet, f: tonnes }, { v: plan.cover.first_unmet_month[m.month] ?? 0, f: share, ...(m.month in plan.cover.first_unmet_month ? { at: `cover.first_unmet_month.${m.month}` } : {}) }]);
  const all: Cell[][] = [["bought in, t", ...rangeCells(plan.cover.backup_t, tonnes, "cover.backup_t")], ["missing, t", ...rangeCells(plan.cover.unmet_t, tonnes, "cover.unmet_t")], ["surplus sold, t", ...rangeCells(plan.cover.surplus_t, tonnes, "cover.surplus_t")]];
  return (
    <>
      <Table caption="Need and mean cover by month, all lines" columns={[{ head: "month" }, { head: "need", unit: "t" }, ...kCoverKinds.map((k) => ({ head: k, unit: "t" })), { head: "missing", unit: "t" }, { head: "first gap here", unit: "%" }]} rows={totals} />
      <Table caption="Over the whole plan" columns={[{ head: "" }, ...rangeColumns("tonnes, all months")]} rows={all} />
      <Table long caption="Need and shortage by month and line" columns={[{ head: "month and line" }, { head: "need", unit: "t" }, ...rangeColumns("missing, t")]} rows={perLine} />
    </>
  );
}

function ShortYears({ years }: { years: readonly YearTotal[] }): JSX.Element | null {
  const choice = useYear(), short = years.filter((y) => y.short).sort((a, b) => b.unmet - a.unmet), worst = short[0];
  if (!worst) return null;
  const some = short.slice(0, 12);
  return (
    <Figure title={choice.drawn ? "The draws that run short" : "The years that run short"} class="text-wide" said={[...say`Worst is ${choice.name(worst.year)}: ${tonnes(worst.unmet)} t missing`, ...(worst.firstShort ? say` from ${monthName(worst.firstShort)}.` : say`.`)]}>
      <Table caption={`${choice.drawn ? "Draws" : "Weather years"} that run short, worst first`} class="short-years" columns={[{ head: choice.drawn ? "draw" : "year" }, { head: "kind", text: true }, { head: "qualifies", unit: "t" }, { head: "first gap", text: true }, { head: "missing", unit: "t" }, { head: "", text: true }]}
        rows={some.map((y) => [{ node: <button type="button" class={`word ${choice.shown === y.year ? "shown" : ""}`} aria-pressed={choice.picked === y.year} onClick={() => choice.pick(y.year)}>{choice.name(y.year)}</button> }, y.kind, { v: y.qualifying, f: tonnes }, y.firstShort ? monthShort(y.firstShort) : "", { v: y.unmet, f: tonnes }, { node: <span class="gap-bar" style={{ width: `${Math.max(2, (100 * y.unmet) / worst.unmet)}px` }} /> }])} />
      {short.length > some.length && <p class="note">{short.length - some.length} more are short by less; the list of {choice.drawn ? "draws" : "weather years"} at the end has them all.</p>}
    </Figure>
  );
}

