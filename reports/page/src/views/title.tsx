// The title block: season, case, as-of date, limit, version; and the questions as a table of contents.
import type { JSX } from "preact";
import type { Plan } from "../document/types";
import { day, monthName } from "../words/format";

// Only views that this plan has.
const questions = (plan: Plan): [string, string][] => [["enough", "Will we have enough?"], ["where", "Where does it come from?"], ["risk", "What could go wrong, and why?"], ...(plan.security.months.length > 0 ? [["safety", "How safe is each month?"] as [string, string]] : []), ...(plan.answers ? [["sign", "What to sign now?"] as [string, string]] : []), ["decide", "What must be decided, by when?"], ["cost", "What does it cost?"], ["basis", "What is it built on?"], ["cautions", "Cautions"]];

export function TitleBlock({ plan }: { plan: Plan }): JSX.Element {
  const s = plan.season, facts: [string, string][] = [
    ["as of", day(s.as_of)], ...(s.weather_known_through ? [["weather known", `to ${day(s.weather_known_through)}`] as [string, string]] : []), ["case", s.case || "base"], ["months", `${monthName(plan.first_month)} to ${monthName(plan.last_month)}`],
    ["N limit", s.limit_n_pct === null ? "–" : `${s.limit_n_pct.toFixed(2)} %${s.limit_policy === "after_harvest" ? ", may widen after harvest" : ""}`],
    ["years", `${plan.years.length} ${s.model === "formulas" ? "drawn" : `past, ${Math.min(...plan.years.map((y) => y.year))}–${Math.max(...plan.years.map((y) => y.year))}`}`],
    ["made by", `Rickyard ${plan.version}${s.seed === null ? "" : `, seed ${s.seed}`}`],
  ];
  return (
    <header class="title">
      <h1>Barley for crop {s.crop_year ?? "–"}<span class="sub">where it comes from, and how far it may fall short</span></h1>
      <dl>{facts.map(([k, v]) => <div key={k}><dt>{k}</dt><dd dir="auto">{v}</dd></div>)}</dl>
      <nav aria-label="Questions"><ol>{questions(plan).map(([id, q]) => <li key={id}><a href={`#${id}`}>{q}</a></li>)}</ol></nav>
    </header>
  );
}
