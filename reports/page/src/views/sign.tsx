// What to sign now, and what does more safety cost? Shown for a plan of the contract command.
import type { JSX } from "preact";
import type { Answers } from "../document/decision";
import type { Plan } from "../document/types";
import { Figure, View } from "../parts/figure";
import { Table } from "../parts/table";
import type { Cell } from "../parts/table";
import { and, count, hectares, money, nPct, plural, price, share, tonnes } from "../words/format";
import { joined, say } from "../words/say";

export function Sign({ plan }: { plan: Plan }): JSX.Element | null {
  const a = plan.answers, currency = plan.season.currency;
  if (!a) return null;
  const moved = a.worth.filter((w) => w.amount !== null && w.proposed !== null && Math.abs(w.proposed - w.amount) >= 0.5);
  const answer = moved.length > 0 ? say`Other amounts than the table's for ${plural(moved.length, "contract")} of ${a.worth.length}.` : say`The table's amounts are the best there are.`;
  return (
    <View id="sign" question="What to sign now?" answer={joined(answer, a.stopped ? say`The search was stopped: at most ${((a.gap ?? 0) * 100).toPrecision(2)} % dearer than the best there is.` : null)} notes={<p>A contract needs a lawyer or a licensed adviser. <b>contracts_proposed.csv</b> holds the table with these amounts.</p>}>
      <Figure title="Amounts, and what one more is worth" class="text-wide" said={say`Worth is in ${currency} for one more or one less hectare or tonne, other contracts as proposed.`}>
        <Table caption="Contracts proposed" columns={[{ head: "contract" }, { head: "table" }, { head: "sign" }, { head: "", text: true }, { head: "one more saves" }, { head: "one less costs" }, { head: "other years: 1 in 10 below", extra: true }, { head: "1 in 10 above", extra: true }]}
          rows={a.worth.map((w, i): Cell[] => [w.contract, { v: w.amount, f: hectares, at: `contracts.${i}.amount` }, { v: w.proposed, f: hectares, at: `contracts.${i}.proposed` }, w.unit, { v: w.more, f: price }, { v: w.less, f: price }, { v: w.p10, f: hectares }, { v: w.p90, f: hectares }])} />
      </Figure>
      {a.frontier.length > 0 && (
        <Figure title="Cost against risk" class="text-wide" said={say`A higher weight on the dearest years buys more cover. Money in ${currency}.`}>
          <Table caption="Cost against risk" columns={[{ head: "weight" }, { head: "", text: true }, { head: "cost, mean" }, { head: "cost, dearest years" }, { head: "need met", unit: "% of years" }, { head: "missing", unit: "t" }]}
            rows={a.frontier.map((f, i): Cell[] => [count(f.lambda, 2), f.chosen ? "this plan" : "", { v: f.expected_cost, f: price, at: `frontier.${i}.expected_cost` }, { v: f.cvar, f: price, at: `frontier.${i}.cvar` }, { v: f.chance_covered, f: share, at: `frontier.${i}.chance_covered` }, { v: f.unmet_t, f: tonnes, at: `frontier.${i}.unmet_t` }])} />
        </Figure>
      )}
      <Waiting a={a} currency={currency} />
      <Lots a={a} currency={currency} />
      <Ladder a={a} currency={currency} />
      <Forms a={a} currency={currency} />
    </View>
  );
}

function Waiting({ a, currency }: { a: Answers; currency: string }): JSX.Element | null {
  if (a.waiting.length === 0) return null;
  const i = a.insurance, net = i.net_cost ?? 0;
  const said = (i.ordered_t ?? 0) < 0.5 ? say`Nothing is ordered ahead.` : i.net_cost === null ? say`${tonnes(i.ordered_t)} t are ordered ahead; without them a rule cannot be kept.` : net >= 0 ? say`Ordering ${tonnes(i.ordered_t)} t ahead costs ${money(net, currency)} a year on average; the dearest years cost ${money(i.cvar.with_orders, currency)} instead of ${money(i.cvar.without, currency)}.` : say`Ordering ${tonnes(i.ordered_t)} t ahead saves ${money(-net, currency)} a year on average.`;
  return (
    <Figure title="Buy now or wait" class="text-wide" said={said}>
      <Table caption="Each source now and after harvest" columns={[{ head: "source" }, { head: "ordered now", unit: "t" }, { head: "now", unit: `${currency}/t` }, { head: "after harvest, mean" }, { head: "1 year in 10 above" }, { head: "half or more gone", unit: "% of years" }]}
        rows={a.waiting.map((w, k): Cell[] => [w.source, { v: w.ordered_now_t, f: tonnes, at: `waiting.${k}.ordered_now_t` }, { v: w.now_per_t, f: price, at: `waiting.${k}.now_per_t` }, { v: w.later_mean_per_t, f: price, at: `waiting.${k}.later_mean_per_t` }, { v: w.later_p90_per_t, f: price, at: `waiting.${k}.later_p90_per_t` }, { v: w.chance_gone, f: share, at: `waiting.${k}.chance_gone` }])} />
    </Figure>
  );
}

function Lots({ a, currency }: { a: Answers; currency: string }): JSX.Element | null {
  const gaps = a.lots.filter((g) => g.choices.length > 0), h = a.hectares;
  const said = h && h.hectares_needed !== null ? say`Own grain alone covers ${tonnes(h.asked_t)} t in ${share(h.chance)} % of years from ${hectares(h.hectares_needed)} ha; the table has ${hectares(h.hectares)}.` : say`What the lots that can be bought leave short or over.`;
  if (gaps.length === 0) return null;
  return (
    <Figure title="The gap in real lots" class="text-wide" said={said}>
      <Table caption="Ways to cover the gap" columns={[{ head: "years and gap" }, { head: "bought", text: true }, { head: "short", unit: "t" }, { head: "over", unit: "t" }, { head: "for the grain", unit: currency }, { head: "with what is short and over", unit: currency }, { head: "", text: true }]}
        rows={a.lots.flatMap((g, k) => g.choices.map((c, j): Cell[] => [`${g.years}, ${tonnes(g.gap_t)} t`, and(c.sources.map((s) => `${s.source} ${tonnes(s.t)} t`)), { v: c.short_t, f: tonnes, at: `lots.${k}.choices.${j}.short_t` }, { v: c.over_t, f: tonnes, at: `lots.${k}.choices.${j}.over_t` }, { v: c.grain_cost, f: price }, { v: c.cost, f: price }, c.dominated ? "another is better" : ""]))} />
    </Figure>
  );
}

function Ladder({ a, currency }: { a: Answers; currency: string }): JSX.Element | null {
  if (a.limit_ladder.length === 0) return null;
  return (
    <Figure title="Another nitrogen limit" class="text-wide" said={say`The same contracts planned at other limits; money in ${currency}, litres of pure alcohol against nitrogen at 1.50 %.`}>
      <Table caption="Nitrogen limits" columns={[{ head: "limit", unit: "%" }, { head: "qualifies, mean", unit: "t" }, { head: "claims" }, { head: "litres lost" }, { head: "cost, mean" }, { head: "need met", unit: "% of years" }, { head: "missing", unit: "t" }]}
        rows={a.limit_ladder.map((l, i): Cell[] => [nPct(l.limit_n_pct), { v: l.qualifying_t.mean, f: tonnes, at: `limit_ladder.${i}.qualifying_t.mean` }, { v: l.claims, f: price, at: `limit_ladder.${i}.claims` }, { v: l.litres_lost_lpa, f: count, at: `limit_ladder.${i}.litres_lost_lpa` }, { v: l.expected_cost, f: price, at: `limit_ladder.${i}.expected_cost` }, { v: l.chance_covered, f: share, at: `limit_ladder.${i}.chance_covered` }, { v: l.unmet_t, f: tonnes, at: `limit_ladder.${i}.unmet_t` }])} />
    </Figure>
  );
}

function Forms({ a, currency }: { a: Answers; currency: string }): JSX.Element | null {
  const f = a.price_forms;
  if (f.contracts.length === 0) return null;
  const kinds = [["fixed", "fixed"], ["feed_plus", "feed plus"], ["collar", "collar"]] as const;
  return (
    <Figure title="Price forms" class="text-wide" said={say`${currency} a tonne when feed stands at ${price(f.feed[0])}, ${price(f.feed[1])} and ${price(f.feed[2])}.`}>
      <Table long caption="Each contract by each price form" columns={[{ head: "contract" }, { head: "form", text: true }, { head: "feed low" }, { head: "feed as planned" }, { head: "feed high" }]}
        rows={f.contracts.flatMap((c, i) => kinds.map(([k, words]): Cell[] => [c.contract, c.form === k ? `${words}, its own` : words, ...[0, 1, 2].map((n): Cell => ({ v: c[k][n] ?? null, f: price, at: `price_forms.contracts.${i}.${k}_per_t.${n}` }))]))} />
    </Figure>
  );
}
