// What is it built on? Need, assumptions, inputs, years, warnings, cautions.
import type { JSX } from "preact";
import type { Assumption, Backtest, Figure as Figure_, Plan } from "../document/types";
import type { YearTotal } from "../document/selections";
import { Figure, Proof, View } from "../parts/figure";
import { usePaper } from "../parts/screen";
import { Table } from "../parts/table";
import type { Cell } from "../parts/table";
import { basisAnswer } from "../words/answers";
import { count, factor, monthShort, nPct, plural, tonnes } from "../words/format";
import { say } from "../words/say";

const kStatus: [string, string][] = [
  ["yours", "set by you"], ["seen", "read in public material"], ["derived", "computed from seen figures"], ["practice", "trade habit"], ["memory", "from memory: check it"], ["judgement", "chosen so that the plan can run"], ["placeholder", "stands in until you give your own"],
];

export function Basis({ plan, years }: { plan: Plan; years: readonly YearTotal[] }): JSX.Element {
  const n = plan.need;
  return (
    <View id="basis" question="What is it built on?" answer={basisAnswer(plan)}>
      {plan.warnings.length > 0 && <Figure title="What to know before trusting it" class="text-wide" said={say`${plural(plan.warnings.length, "warning")} from this run.`}><Warnings all={plan.warnings} /></Figure>}
      {plan.backtest && <PastSeasons b={plan.backtest} />}
      {n.steps.length > 0 && (
        <Figure title="From litres to barley" class="text-wide" said={n.spirit_lpa !== null && n.spirit_lpa > 0 ? say`${count(n.spirit_lpa)} litres of pure alcohol take ${tonnes(n.malt_t)} t of malt and ${tonnes(n.barley_t)} t of barley at intake.` : say`${tonnes(n.malt_t)} t of malt take ${tonnes(n.barley_t)} t of barley at intake.`}>
          <Table caption="Steps from demand to barley" columns={[{ head: "step" }, { head: "factor" }, { head: "status", text: true }]} rows={n.steps.map((s, i): Cell[] => [s.name, { v: s.factor, f: factor, at: `need.steps.${i}.factor` }, s.status])} />
        </Figure>
      )}
      <Assumptions all={plan.assumptions} />
      <Figure title="Files read" class="text-wide" said={say`${plural(plan.inputs.length, "file")}. Each has a fingerprint that changes with the file; the list shows its start, manifest.json all of it.`} proof={
        <Table long caption="Inputs" columns={[{ head: "file" }, { head: "what for", text: true }, { head: "fingerprint", text: true }]} rows={plan.inputs.map((x): Cell[] => [x.path, x.role, { node: <code title={x.sha256}>{x.sha256.slice(0, 12)}</code> }])} />}>
        <p class="roles">{roles(plan)}</p>
      </Figure>
      <Years plan={plan} years={years} />
    </View>
  );
}

const roles = (plan: Plan): string => [...new Set(plan.inputs.map((x) => x.role))].map((role) => { const n = plan.inputs.filter((x) => x.role === role).length; return n > 1 ? `${role} (${n} files)` : role; }).join(", ");

// Warnings that differ only in what they quote are told once, with the rest of them folded under the first.
function Warnings({ all }: { all: string[] }): JSX.Element {
  const paper = usePaper(), groups = new Map<string, string[]>();
  for (const w of all.map((x) => x.replace(/^warning: /, ""))) { const key = w.replace(/"[^"]*"/g, '""'); groups.set(key, [...(groups.get(key) ?? []), w]); }
  return (
    <ul class="listed">
      {[...groups.values()].map(([first, ...more], i) => <li key={i} dir="auto">{first}{more.length > 0 && <Proof open={paper} label={`and ${more.length} more like it`}><ul>{more.map((m, k) => <li key={k} dir="auto">{m}</li>)}</ul></Proof>}</li>)}
    </ul>
  );
}

// Past seasons forecast as on the date of this plan, set beside what came.
function PastSeasons({ b }: { b: Backtest }): JSX.Element {
  const self = b.kind === "self-test", row = (name: string, v: Figure_, key: string, f: (v: Figure_) => string): Cell[] => [name, { v, f, at: `backtest.${key}` }];
  return (
    <Figure title="Was it right before?" class="text-wide" said={self ? say`A self-test, not evidence of skill: no past deliveries are given.` : b.verdict ? say`Past seasons, forecast as on the date of this plan: ${b.verdict}.` : say`Past seasons, forecast as on the date of this plan.`} proof={
      <Table caption="Past seasons" columns={[{ head: b.of === "qualifying" ? "of qualifying grain" : "of grain delivered" }, { head: "" }]} rows={[
        row("seasons", b.n, "n", count), row("came between the 1-in-10 low and high", b.hits, "hits", count), row("no surprise from", b.hits_interval[0], "hits_interval.0", count), row("to", b.hits_interval[1], "hits_interval.1", count),
        row("forecast too high on average by, t", b.bias, "bias", tonnes), row("mean distance of forecast and range, t", b.crps, "crps", tonnes), row("the same of a five-year mean, t", b.crps_five_year_mean, "crps_five_year_mean", tonnes)]} />}>
      <p dir="auto">{b.reason}.</p>
    </Figure>
  );
}

function Assumptions({ all }: { all: Assumption[] }): JSX.Element {
  const paper = usePaper(), known = new Set(kStatus.map(([s]) => s)), rest = [...new Set(all.map((a) => a.status).filter((s) => !known.has(s)))].map((s): [string, string] => [s, ""]);
  const groups = [...kStatus, ...rest].map(([status, means]) => ({ status, means, rows: all.filter((a) => a.status === status) })).filter((g) => g.rows.length > 0);
  return (
    <Figure title={<span id="assumptions">Assumptions, by how well they are known</span>} class="text-wide" said={say`Every one can be overridden in season.toml or the tables.`}>
      {groups.map((g, i) => (
        <Proof key={g.status} open={paper || i === 0} label={`${g.status || "no status"}${g.means ? `: ${g.means}` : ""} (${g.rows.length})`}>
          <Table caption={`Assumptions with status ${g.status}`} columns={[{ head: "name" }, { head: "value" }, { head: "unit", text: true }, { head: "source", text: true }]} rows={g.rows.map((a): Cell[] => [{ node: <code>{a.name}</code> }, a.value, a.unit, a.source])} />
        </Proof>
      ))}
    </Figure>
  );
}

function Years({ plan, years }: { plan: Plan; years: readonly YearTotal[] }): JSX.Element {
  const drawn = plan.season.model === "formulas", limit = new Map(plan.limit_used.map((l, i) => [l.year, { v: l.limit_n_pct, i }]));
  const rows = years.map((y): Cell[] => {
    const l = limit.get(y.year);
    return [String(y.year), y.kind, { v: y.weight * 100, f: (v) => count(v, 1) }, { v: y.rain, f: count, at: `years.${y.index}.rain_mm` }, { v: y.qualifying, f: tonnes }, l ? { v: l.v, f: nPct, at: `limit_used.${l.i}.limit_n_pct` } : "", y.firstShort ? monthShort(y.firstShort) : "", { v: y.unmet, f: tonnes }];
  });
  return (
    <Figure title={drawn ? "The drawn years" : "The weather years"} class="text-wide" said={drawn ? say`${plural(years.length, "year")}, drawn from stated spreads; none is a past year.` : say`${plural(years.length, "year")}; dry, normal and wet are thirds by April to July rain.`} proof={
      <Table caption={drawn ? "Drawn years" : "Weather years"} columns={[{ head: drawn ? "draw" : "year" }, { head: "kind", text: true }, { head: "weight", unit: "%" }, { head: "season rain", unit: "mm" }, { head: "qualifies", unit: "t" }, { head: "limit", unit: "% N" }, { head: "first gap", text: true }, { head: "missing", unit: "t" }]} rows={rows} />} />
  );
}

export function Cautions({ plan }: { plan: Plan }): JSX.Element {
  return (
    <section class="view cautions" id="cautions" aria-labelledby="cautions-q">
      <div class="rail"><h2 id="cautions-q">Cautions</h2></div>
      <div class="body"><ul class="listed">{plan.cautions.map((c, i) => <li key={i} dir="auto">{c}</li>)}</ul></div>
    </section>
  );
}
