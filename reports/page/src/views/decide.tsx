// What must be decided, and by when?
import type { JSX } from "preact";
import { DueLine } from "../charts/due_line";
import { StockChart } from "../charts/stock_chart";
import type { Plan } from "../document/types";
import type { Origin } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { decideAnswer } from "../words/answers";
import { count, day, hectares, monthName, plural, price, spoken, thousands, tonnes } from "../words/format";
import { say } from "../words/say";

export function Decide({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const due = plan.decisions.map((d, i) => ({ d, i })).sort((a, b) => (a.d.by < b.d.by ? -1 : 1));
  return (
    <View id="decide" question="What must be decided, by when?" answer={decideAnswer(plan)} notes={<>
      <p>Orders due on or before <b>{day(plan.intake_closed)}</b> are one quantity for every year. Later ones differ by year; their tonnes here are means.</p>
      <p>Later months are planned as if the whole year were known once intake has closed.</p>
    </>}>
      {due.length > 0 && (
        <Figure title="Orders as they fall due" said={say`Filled: before the harvest is known. Open: after it.`}>
          <DueLine plan={plan} />
          <ol class="orders">
            {due.map(({ d, i }) => (
              <li key={i}>
                <time dateTime={d.by}>{day(d.by)}</time>
                <div><p><b dir="auto">{d.source}</b>: {spoken(d.what)}, <b data-at={`decisions.${i}.t`} data-v={d.t === null ? "null" : String(d.t)}>{tonnes(d.t)}</b> t <span class="stage">{d.stage === "now" ? "before the harvest is known" : d.stage}</span></p><p class="note">If not: {spoken(d.if_not)}.</p></div>
              </li>
            ))}
          </ol>
        </Figure>
      )}
      {plan.purchases.length > 0 && (
        <Figure title="What is bought, and at what price" class="text-wide" said={say`${plural(plan.purchases.length, "purchase")} in ${plan.season.currency} a tonne; price moves with the shortage.`}>
          <Table caption="Purchases by source" columns={[{ head: "source" }, { head: "origin", text: true }, { head: "when decided", text: true }, ...rangeColumns("tonnes"), ...rangeColumns(`price, ${plan.season.currency}/t`)]} rows={plan.purchases.map((p, i): Cell[] => [p.source, p.origin, p.stage, ...rangeCells(p.t, tonnes, `purchases.${i}.t`), ...rangeCells(p.price, price, `purchases.${i}.price`)])} />
        </Figure>
      )}
      <Figure title="Contracts behind the sum" class="text-wide" said={say`${plural(plan.contracts.length, "contract")}, ${plan.contracts.filter((c) => c.signed).length} signed.`}>
        <Table caption="Contracts" columns={[{ head: "contract" }, { head: "region", text: true }, { head: "form", text: true }, { head: "signed", text: true }, { head: "amount" }, { head: "", text: true }, ...rangeColumns("accepted t"), { head: "mean cost", unit: `1,000 ${plan.season.currency}` }, { head: "row", text: true }]}
          rows={plan.contracts.map((c, i): Cell[] => [c.contract, plan.regions.find((r) => r.region === c.region)?.name ?? c.region, c.form.replace("_", ", "), c.signed ? "yes" : "open", { v: c.proposed, f: c.unit === "ha" ? hectares : tonnes, at: `contracts.${i}.proposed` }, c.unit, ...rangeCells(c.accepted_t, tonnes, `contracts.${i}.accepted_t`), { v: c.cost.mean, f: thousands, at: `contracts.${i}.cost.mean` }, c.row === null ? c.file : `${c.file}, row ${count(c.row)}`])} />
      </Figure>
      {plan.stock.length > 0 && <Stocks plan={plan} origins={origins} />}
    </View>
  );
}

function Stocks({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const first = plan.stock[0];
  return (
    <Figure title="Grain in store, month by month" class="text-wide" said={first ? say`From ${monthName(first.month)}: opening and arrivals, less what is used, lost and sold, is what is left.` : say`No grain is kept.`} proof={
      <Table long caption="Mean stock by month, origin and crop" columns={[{ head: "month and origin" }, { head: "crop" }, ...["opening", "arrivals", "used", "lost", "sold", "left"].map((head) => ({ head, unit: "t", group: "mean tonnes" }))]}
        rows={plan.stock.map((s, i): Cell[] => [`${monthName(s.month)}, ${s.origin}`, s.crop_year === null ? "" : String(s.crop_year), ...(["opening_t", "arrivals_t", "used_t", "lost_t", "sold_t", "closing_t"] as const).map((k) => ({ v: s[k].mean, f: tonnes, at: `stock.${i}.${k}.mean` }))])} />}>
      <StockChart plan={plan} origins={origins} />
    </Figure>
  );
}
