// What must be decided, and by when?
import type { JSX } from "preact";
import { DueLine, orderGroups } from "../charts/due_line";
import type { OrderGroup } from "../charts/due_line";
import { StockChart } from "../charts/stock_chart";
import type { Plan } from "../document/types";
import { sum, zero } from "../document/selections";
import type { Origin } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { decideAnswer } from "../words/answers";
import { count, day, hectares, monthName, plural, price, spoken, thousands, tonnes } from "../words/format";
import { say } from "../words/say";
import type { Sentence } from "../words/say";

export function Decide({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const groups = orderGroups(plan);
  return (
    <View id="decide" question="What must be decided, by when?" answer={decideAnswer(plan)} notes={<>
      <p>Orders due on or before <b>{day(plan.intake_closed)}</b> are one quantity for every year. Later ones differ by year; their tonnes here are means.</p>
      <p>Later months are planned as if the whole year were known once intake has closed.</p>
    </>}>
      {groups.length > 0 && (
        <Figure title="Orders as they fall due" said={ordersSaid(plan)} proof={<OrderTable groups={groups} />}>
          <DueLine plan={plan} groups={groups} />
          <ol class="orders">{groups.map((g, i) => <Orders key={i} group={g} />)}</ol>
        </Figure>
      )}
      {plan.purchases.length > 0 && (
        <Figure title="What is bought, and at what price" class="text-wide" said={say`${plural(plan.purchases.length, "purchase")} in ${plan.season.currency} a tonne; price moves with the shortage.`}>
          <Table caption="Purchases by source" columns={[{ head: "source" }, ...rangeColumns("tonnes").map((c, i) => ({ ...c, extra: i === 2 })), { head: "when decided", text: true, extra: true }, { head: "origin", text: true, extra: true }, ...rangeColumns(`price, ${plan.season.currency}/t`).map((c) => ({ ...c, extra: true }))]} rows={plan.purchases.map((p, i): Cell[] => [p.source, ...rangeCells(p.t, tonnes, `purchases.${i}.t`), p.stage, p.origin, ...rangeCells(p.price, price, `purchases.${i}.price`)])} />
        </Figure>
      )}
      <Figure title="Contracts behind the sum" class="text-wide" said={say`${plural(plan.contracts.length, "contract")}, ${plan.contracts.filter((c) => c.signed).length} signed.`}>
        <Table caption="Contracts" columns={[{ head: "contract" }, ...rangeColumns("accepted t").map((c, i) => ({ ...c, extra: i === 2 })), { head: "signed", text: true, extra: true }, { head: "region", text: true, extra: true }, { head: "form", text: true, extra: true }, { head: "amount", extra: true }, { head: "", text: true, extra: true }, { head: "mean cost", unit: `1,000 ${plan.season.currency}`, extra: true }, { head: "row", text: true, extra: true }]}
          rows={plan.contracts.map((c, i): Cell[] => [c.contract, ...rangeCells(c.accepted_t, tonnes, `contracts.${i}.accepted_t`), c.signed ? "yes" : "open", plan.regions.find((r) => r.region === c.region)?.name ?? c.region, c.form.replace("_", ", "), { v: c.proposed, f: c.unit === "ha" ? hectares : tonnes, at: `contracts.${i}.proposed` }, c.unit, { v: c.cost.mean, f: thousands, at: `contracts.${i}.cost.mean` }, c.row === null ? c.file : `${c.file}, row ${count(c.row)}`])} />
      </Figure>
      {plan.stock.length > 0 && <Stocks plan={plan} origins={origins} />}
    </View>
  );
}

function ordersSaid(plan: Plan): Sentence {
  const largest = [...plan.decisions].sort((a, b) => zero(b.t) - zero(a.t))[0];
  return largest ? say`The largest is ${tonnes(largest.t)} t from ${largest.source}, due ${day(largest.by)}. Filled dots fall due before the harvest is known, open ones after it.` : say`No order.`;
}

// What one source is asked for: every order while they are few, else the span, with each order in the table.
function Orders({ group: g }: { group: OrderGroup }): JSX.Element {
  const first = g.orders[0], last = g.orders[g.orders.length - 1], stage = g.stage === "now" ? "before the harvest is known" : g.stage;
  if (!first || !last) return <></>;
  const few = g.orders.length <= 2;
  return (
    <>
      {(few ? g.orders : []).map(({ d, index }) => (
        <li key={index}>
          <time dateTime={d.by}>{day(d.by)}</time>
          <div><p><b dir="auto">{d.source}</b>: {spoken(d.what)}, <b>{tonnes(d.t)}</b> t <span class="stage">{stage}</span></p><p class="note">If not: {spoken(d.if_not)}.</p></div>
        </li>
      ))}
      {!few && <li><time dateTime={first.d.by}>{day(first.d.by)}</time><div><p><b dir="auto">{g.source}</b>: {count(g.orders.length)} orders until {day(last.d.by)}, <b>{tonnes(g.t)}</b> t in all <span class="stage">{stage}</span></p><p class="note">What each is for, and what if not, is in the table.</p></div></li>}
    </>
  );
}

function OrderTable({ groups }: { groups: OrderGroup[] }): JSX.Element {
  const all = groups.flatMap((g) => g.orders).sort((a, b) => (a.d.by < b.d.by ? -1 : a.d.by > b.d.by ? 1 : a.index - b.index));
  return <Table caption="Orders by the day they fall due" columns={[{ head: "due" }, { head: "source", text: true }, { head: "what", text: true }, { head: "mean", unit: "t" }, { head: "when decided", text: true }, { head: "if not", text: true }]} rows={all.map(({ d, index }): Cell[] => [day(d.by), d.source, spoken(d.what), { v: d.t, f: tonnes, at: `decisions.${index}.t` }, d.stage, spoken(d.if_not)])} />;
}

function Stocks({ plan, origins }: { plan: Plan; origins: Origin[] }): JSX.Element {
  const left = [...new Set(plan.stock.map((x) => x.month))].sort().map((month) => ({ month, t: sum(plan.stock.filter((x) => x.month === month).map((x) => zero(x.closing_t.mean))) }));
  const most = [...left].sort((a, b) => b.t - a.t)[0], end = left[left.length - 1];
  return (
    <Figure title="Grain in store, month by month" class="text-wide" said={most && end ? say`Stock is fullest at the end of ${monthName(most.month)}, ${tonnes(most.t)} t in a mean year; ${tonnes(end.t)} t is left at the end of ${monthName(end.month)}.` : say`No grain is kept.`} proof={
      <Table long caption="Mean stock by month, origin and crop" columns={[{ head: "month and origin" }, { head: "crop" }, ...["opening", "arrivals", "used", "lost", "sold", "left"].map((head) => ({ head, unit: "t", group: "mean tonnes" }))]}
        rows={plan.stock.map((s, i): Cell[] => [`${monthName(s.month)}, ${s.origin}`, s.crop_year === null ? "" : String(s.crop_year), ...(["opening_t", "arrivals_t", "used_t", "lost_t", "sold_t", "closing_t"] as const).map((k) => ({ v: s[k].mean, f: tonnes, at: `stock.${i}.${k}.mean` }))])} />}>
      <StockChart plan={plan} origins={origins} />
    </Figure>
  );
}
