// How safe is each month, and what does the plan hang on?
import type { JSX } from "preact";
import type { Plan } from "../document/types";
import { Figure, View } from "../parts/figure";
import { Table, rangeCells, rangeColumns } from "../parts/table";
import type { Cell } from "../parts/table";
import { factor, monthName, monthShort, plural, share, spoken, tonnes } from "../words/format";
import { say } from "../words/say";

/** Nothing where the document holds no such blocks. */
export function Safety({ plan }: { plan: Plan }): JSX.Element | null {
  const s = plan.security, weakest = [...s.months].sort((a, b) => (a.chance_met ?? 1) - (b.chance_met ?? 1))[0];
  if (!weakest) return null;
  const fullest = [...s.store.months].sort((a, b) => (b.chance_full ?? 0) - (a.chance_full ?? 0))[0];
  return (
    <View id="safety" question="How safe is each month?" answer={say`The least safe month is ${monthName(weakest.month)}: its need is met in ${share(weakest.chance_met)} % of years.`} detail={s.failure ? say`${spoken(s.failure.charAt(0).toUpperCase() + s.failure.slice(1))}.` : undefined}>
      <Figure title="Chance that need is met, and the store" class="text-wide" said={s.store.capacity_t === null ? say`No store has a limit.` : fullest && (s.store.chance_full ?? 0) > 0 ? say`The store is full in ${share(s.store.chance_full)} % of years, most often in ${monthName(fullest.month)}.` : say`The store is full in no year.`}>
        <Table caption="Need, chance that it is met, and the store by month" columns={[{ head: "month" }, { head: "need", unit: "t" }, { head: "met", unit: "% of years" }, { head: "met until then", unit: "% of years" }, ...rangeColumns("in store at its end, t").map((c) => ({ ...c, extra: true })), { head: "store full", unit: "% of years" }]}
          rows={s.months.map((m, i): Cell[] => {
            const k = s.store.months.findIndex((x) => x.month === m.month), held = s.store.months[k];
            return [monthShort(m.month), { v: m.need_t, f: tonnes, at: `cover.by_month.${i}.need_t` }, { v: m.chance_met, f: share, at: `cover.by_month.${i}.chance_met` }, { v: m.chance_met_until, f: share, at: `cover.by_month.${i}.chance_met_until` }, ...(held ? rangeCells(held.stock_t, tonnes, `store.by_month.${k}.stock_t`) : ["", "", "", ""]), held ? { v: held.chance_full, f: share, at: `store.by_month.${k}.chance_full` } : ""];
          })} />
      </Figure>
      {s.dependence.largest.length > 0 && (
        <Figure title="The contracts it hangs on" class="text-wide" said={say`The ${plural(s.dependence.largest.length, "largest contract")} bring ${share(s.dependence.share)} % of the qualifying grain, ${share(s.dependence.share_in_driest_third)} % in the driest third of years.`}>
          <Table caption="Largest contracts" columns={[{ head: "contract" }, { head: "of qualifying grain", unit: "%" }]} rows={s.dependence.largest.map((c, i): Cell[] => [c.contract, { v: c.share, f: share, at: `dependence.largest.${i}.share` }])} />
        </Figure>
      )}
      {s.claim_lines.length > 0 && (
        <Figure title="Lines that carry a claim" class="text-wide" said={s.claim_lines.flatMap((c) => say`${c.words}. `)}>
          <Table caption="Claim lines" columns={[{ head: "line" }, { head: "claim", text: true }, { head: "need", unit: "t" }, ...rangeColumns("missing, t"), { head: "topped up", unit: "t" }]} rows={s.claim_lines.map((c, i): Cell[] => [c.line, c.origin_rule, { v: c.need_t, f: tonnes, at: `claim_lines.${i}.need_t` }, ...rangeCells(c.unmet_t, tonnes, `claim_lines.${i}.unmet_t`), { v: c.topped_up_t, f: tonnes, at: `claim_lines.${i}.topped_up_t` }])} />
        </Figure>
      )}
      {(s.carbon.total_t_co2e ?? 0) > 0 && (
        <Figure title="Carbon of the grain bought" class="text-wide" said={say`${tonnes(s.carbon.total_t_co2e)} t CO2e a year, by the figures of the tables. A claim needs records.`}>
          <Table caption="Carbon by source" columns={[{ head: "source" }, { head: "", text: true }, { head: "grain", unit: "t" }, { head: "kg CO2e a tonne" }, { head: "t CO2e" }]} rows={s.carbon.by_source.map((c, i): Cell[] => [c.source, c.kind, { v: c.t, f: tonnes, at: `carbon.by_source.${i}.t` }, { v: c.kg_co2e_per_t, f: factor }, { v: c.t_co2e, f: tonnes, at: `carbon.by_source.${i}.t_co2e` }])} />
        </Figure>
      )}
    </View>
  );
}
