// What does it cost?
import type { JSX } from "preact";
import { CostBars } from "../charts/cost_bars";
import type { CostPart, Plan } from "../document/types";
import { kCostParts } from "../document/types";
import { zero } from "../document/selections";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import { costAnswer } from "../words/answers";
import { money, share, thousands } from "../words/format";
import { joined, say, word } from "../words/say";

const kWords: Record<CostPart, string> = { contracts: "contracts", purchases: "bought grain", freight: "freight", options: "option fees", storage: "storage", interest: "interest", claims: "claims taken off", rejects: "rejects and haulage", unmet: "need left unmet", outlets: "sold surplus" };

export function Cost({ plan }: { plan: Plan }): JSX.Element {
  const c = plan.cost, currency = plan.season.currency, parts = kCostParts.map((k) => ({ k, words: kWords[k], r: c.parts[k] }));
  const drawn = parts.filter((p) => p.r.mean !== null && (Math.abs(p.r.mean) >= 1 || zero(p.r.p90) !== 0)), most = [...drawn].sort((a, b) => Math.abs(zero(b.r.mean)) - Math.abs(zero(a.r.mean)))[0], unmet = c.parts.unmet;
  const said = most ? joined(say`The largest part is ${word(most.words)}, ${money(most.r.mean, currency)} on average.`, zero(c.parts.outlets.mean) < -0.005 * Math.abs(zero(c.total.mean)) ? say`Sold surplus gives back ${money(-zero(c.parts.outlets.mean), currency)}.` : null, zero(unmet.mean) > 0.005 * Math.abs(zero(c.total.mean)) ? say`Need left unmet is priced in, at ${money(unmet.mean, currency)} on average.` : null) : say`No part has a cost.`;
  return (
    <View id="cost" question="What does it cost?" answer={costAnswer(plan)} notes={<>
      <p>Unmet need carries a price per tonne that you set; it is not money paid, it is what going short would be worth avoiding.</p>
      {c.alpha !== null && c.lambda !== null && c.lambda > 0 && <p>Weight on bad outcomes <a href="#assumptions"><b>{c.lambda}</b></a>, over the worst {share(1 - c.alpha)} %.</p>}
    </>}>
      <Figure title="Where the money goes" said={said} proof={
        <Table caption="Cost by part" columns={[{ head: "part" }, ...rangeColumns(`1,000 ${currency}`)]} rows={[...parts.map((p) => [p.words, ...rangeCells(p.r, thousands, `cost.parts.${p.k}`)]), ["all", ...rangeCells(c.total, thousands, "cost.total")]]} />}>
        {drawn.length > 0 && <CostBars parts={drawn} currency={currency} />}
        <p class="note">Bars: means. Bands: 8 outcomes in 10. Cost is not kept year by year, so a picked year does not show here.</p>
      </Figure>
    </View>
  );
}
