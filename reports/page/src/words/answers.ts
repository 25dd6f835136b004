// The sentence that answers each view's question, and the one or two that qualify it. All from the document.
import type { Plan } from "../document/types";
import type { MonthTotal, Origin, YearTotal } from "../document/selections";
import { bySupply, scenarios, sum, zero } from "../document/selections";
import { and, count, day, money, monthName, plural, share, tonnes } from "./format";
import { joined, say, word } from "./say";
import type { Segment, Sentence } from "./say";

const yearsWord = (plan: Plan): Segment => word(plan.season.model === "formulas" ? "drawn years" : "weather years");

/** Months by the chance that the first gap falls in them, most likely first. */
export function firstGaps(plan: Plan): { month: string; chance: number }[] {
  return Object.entries(plan.cover.first_unmet_month).filter(([k, v]) => k !== "never" && v > 0).map(([month, chance]) => ({ month, chance })).sort((a, b) => b.chance - a.chance || (a.month < b.month ? -1 : 1));
}

export function enoughAnswer(plan: Plan, years: readonly YearTotal[]): Sentence {
  const short = years.filter((y) => y.short), first = short.map((y) => y.firstShort).filter((m): m is string => m !== null).sort()[0];
  if (years.length === 0) return say`The plan has no weather years, so no gap can be shown.`;
  if (short.length === 0) return say`${word(zero(plan.cover.chance_covered) >= 0.995 ? "Yes: none" : "In the mean of its draws, yes: none")} of the ${years.length} ${yearsWord(plan)} runs short of the ${tonnes(plan.need.barley_t)} t needed.`;
  const all = short.length === years.length;
  const start = all ? say`Not as planned: every one of the ${years.length} ${yearsWord(plan)} runs short` : say`In ${short.length} of ${years.length} ${yearsWord(plan)} the plan runs short`;
  return [...start, ...(first ? say`, first in ${monthName(first)}.` : say`.`)];
}

// Where the first gap falls: the likeliest month, or every month that is as likely, while they are few enough to name.
function firstGapSaid(gaps: readonly { month: string; chance: number }[]): Sentence | null {
  const worst = gaps[0];
  if (!worst) return null;
  const tied = gaps.filter((g) => worst.chance - g.chance < 1e-6), names = tied.map((g) => monthName(g.month));
  if (tied.length === 1) return say`If it fails, it most often fails first in ${names[0] ?? ""} (${share(worst.chance)} %).`;
  if (tied.length <= 4) return say`If it fails, ${and(names)} are equally often the first month short (${share(worst.chance)} % each).`;
  return say`If it fails, ${tied.length} months are equally often the first one short (${share(worst.chance)} % each), the earliest of them ${names[0] ?? ""}.`;
}

export function enoughDetail(plan: Plan): Sentence {
  const run = scenarios(plan), worst = firstGaps(plan)[0];
  return joined(
    say`Need is ${tonnes(plan.need.barley_t)} t of barley. The chance that all of it is covered is ${share(plan.cover.chance_covered)} %`.concat(run ? say`, over ${count(run.count)} scenarios.` : say`.`),
    firstGapSaid(firstGaps(plan)),
    worst && zero(plan.cover.unmet_t.p90) >= 1 ? say`1 time in 10 more than ${tonnes(plan.cover.unmet_t.p90)} t is missing.` : null,
  );
}

const originShare = (o: Origin, months: readonly MonthTotal[]): number => sum(months.flatMap((m) => m.parts.filter((p) => o.members.includes(p.blend.origin)).map((p) => zero(p.blend.t.mean))));

export function whereAnswer(origins: readonly Origin[], months: readonly MonthTotal[]): Sentence {
  const used = sum(months.flatMap((m) => m.parts.map((p) => zero(p.blend.t.mean))));
  if (!(used > 0)) return say`The plan shows no grain in use.`;
  const rows = origins.map((o) => ({ o, t: originShare(o, months) })), home = sum(rows.filter((r) => r.o.home).map((r) => r.t));
  const lead = [...rows].filter((r) => r.o.home).sort((a, b) => b.t - a.t)[0];
  const bought = months.map((m) => { const t = m.parts.map((p) => ({ home: origins.some((o) => o.home && o.members.includes(p.blend.origin)), t: zero(p.blend.t.mean) })); return { month: m.month, share: sum(t.filter((x) => !x.home).map((x) => x.t)) / Math.max(sum(t.map((x) => x.t)), 1e-9) }; });
  const peak = [...bought].sort((a, b) => b.share - a.share)[0];
  const start = say`${share(home / used)} % of the grain used is from home regions`;
  const middle = lead && lead.t > 0 ? say`, most of it from ${lead.o.name} (${share(lead.t / used)} %)` : [];
  const end = used - home < 1e-6 * used ? say`; nothing is bought in.` : say`; bought grain is at its most in ${monthName(peak?.month ?? "")}, at ${share(peak?.share ?? null)} %.`;
  return [...start, ...middle, ...end];
}

export function riskAnswer(plan: Plan): Sentence {
  const t = plan.supply.qualifying_t, alone = plan.supply.if_regions_were_independent;
  if (t.p10 === null) return say`The plan gives no range of supply.`;
  const start = say`1 year in 10 brings less than ${tonnes(t.p10)} t that qualifies, against ${tonnes(t.p50)} t in the middle year`;
  if (alone.p10 === null || plan.regions.length < 2) return [...start, ...say`.`];
  const rare = plan.supply.one_in_twenty;
  const end = rare.t === null || rare.if_regions_were_independent_t === null ? say`` : say` 1 year in 20 brings less than ${tonnes(rare.t)} t; counted as if regions were independent it would wrongly be ${tonnes(rare.if_regions_were_independent_t)} t.`;
  return [...start, ...say`. Regions fail together: if each went its own way the poor year would still bring ${tonnes(alone.p10)} t.`, ...end];
}

export function worstYears(plan: Plan, years: readonly YearTotal[]): Sentence | null {
  const worst = bySupply(years).slice(0, 3);
  return worst.length < 3 || years.length < 6 || plan.season.model === "formulas" ? null : say`The three leanest ${yearsWord(plan)} are ${and(worst.map((y) => String(y.year)))}.`;
}

export function decideAnswer(plan: Plan): Sentence {
  const due = [...plan.decisions].sort((a, b) => (a.by < b.by ? -1 : 1)), next = due[0];
  if (!next) return say`The plan asks for no order: contracts and stock are all it uses.`;
  const now = due.filter((d) => d.stage === "now").length, after = due.length - now;
  const rest = now === 0 ? say` All ${after} wait until the harvest is known.` : after === 0 ? say` All ${now} fall due before the harvest is known.` : say` Of ${now + after} orders ${now} must be placed before the harvest is known.`;
  return [...say`The first order falls due on ${day(next.by)}: ${tonnes(next.t)} t from ${next.source}.`, ...(due.length > 1 ? rest : [])];
}

export function costAnswer(plan: Plan): Sentence {
  const { total, cvar, alpha } = plan.cost, currency = plan.season.currency;
  if (total.mean === null) return say`The plan has no cost.`;
  const start = say`The plan costs ${money(total.mean, currency)} on average; 1 time in 10 it costs more than ${money(total.p90, currency)}`;
  const tail = alpha !== null && alpha > 0 && alpha < 1 && cvar !== null ? say`, and over the worst ${share(1 - alpha)} % of outcomes the average is ${money(cvar, currency)}.` : say`.`;
  return [...start, ...tail];
}

export function basisAnswer(plan: Plan): Sentence {
  const by = (s: string) => plan.assumptions.filter((a) => a.status === s).length;
  const weak = by("memory") + by("judgement") + by("placeholder"), yours = plan.assumptions.filter((a) => a.status === "yours");
  // Units declared for rasters are set by the user too, but are no choice about the trade: say so when they are all there is.
  const units = yours.length > 0 && yours.every((a) => /^rasters\..*\.unit$/.test(a.name));
  const set = say`Beside your tables and rasters it rests on ${plural(yours.length, "value")} set by you`.concat(units ? say` (the units of your rasters)` : []);
  return [...set, ...say` and ${plural(plan.assumptions.length - yours.length, "default")}: ${by("seen") + by("derived")} read or derived from published figures, ${by("practice")} trade habit and ${weak} from memory, judgement or still to be filled in.`];
}
