// All weather years in one strip at the foot of the window: the place to pick a year by keyboard, finger or pointer.
import type { JSX } from "preact";
import { useRef } from "preact/hooks";
import { useYear } from "../year";
import { monthShort, tonnes } from "../words/format";

export function YearStrip(): JSX.Element | null {
  const choice = useYear(), { years, picked, shown } = choice, strip = useRef<HTMLDivElement>(null);
  if (years.length === 0) return null;
  const most = Math.max(...years.map((y) => y.qualifying ?? 0), 1), at = years.findIndex((y) => y.year === picked);
  const move = (to: number) => {
    const next = years[Math.max(0, Math.min(years.length - 1, to))];
    if (!next) return;
    if (next.year !== picked) choice.pick(next.year);
    strip.current?.querySelector<HTMLElement>(`[data-year="${next.year}"]`)?.focus();
  };
  const keys = (e: KeyboardEvent) => {
    const to = { ArrowRight: at + 1, ArrowUp: at + 1, ArrowLeft: at < 0 ? 0 : at - 1, ArrowDown: at < 0 ? 0 : at - 1, Home: 0, End: years.length - 1 }[e.key];
    if (to !== undefined) { e.preventDefault(); move(to); }
    if (e.key === "Escape" && picked !== null) choice.pick(picked);
  };
  const year = years.find((y) => y.year === shown);
  return (
    <aside class="years" aria-label={choice.drawn ? "Drawn years" : "Weather years"}>
      <p class="readout" aria-live="polite">
        {year ? <><b class="picked">{choice.name(year.year)}</b>{year.kind !== "drawn" && year.kind && <> {year.kind}</>}, <b>{tonnes(year.qualifying)}</b> t qualifies, {year.short ? <>short by <b>{tonnes(year.unmet)}</b> t{year.firstShort && <> from {monthShort(year.firstShort)}</>}</> : "need met"}</>
          : <>Pick a {choice.drawn ? "draw" : "year"} to follow it through the page. Hollow: runs short.</>}
      </p>
      <div class="pickers">
        <button type="button" class="step" onClick={() => { choice.pick(years[at < 0 ? 0 : Math.max(0, at - 1)]?.year ?? null); }} disabled={at === 0} aria-label={choice.drawn ? "A leaner draw" : "A leaner year"}>‹</button>
        <div class="strip" role="radiogroup" aria-label="Weather years, from least to most qualifying grain" ref={strip} onKeyDown={keys} onPointerLeave={() => choice.point(null)}>
          {years.map((y, i) => (
            <button type="button" role="radio" key={y.year} data-year={y.year} aria-checked={y.year === picked} class={`${y.short ? "short" : ""} ${y.year === shown ? "shown" : ""}`}
              tabIndex={i === Math.max(at, 0) ? 0 : -1} aria-label={`${choice.name(y.year)}, ${tonnes(y.qualifying)} tonnes qualify${y.short ? ", runs short" : ""}`}
              onClick={() => choice.pick(y.year)} onPointerEnter={() => choice.point(y.year)}>
              <span style={{ height: `${Math.round((100 * (y.qualifying ?? 0)) / most)}%` }} />
            </button>
          ))}
        </div>
        <button type="button" class="step" onClick={() => { choice.pick(years[at < 0 ? years.length - 1 : Math.min(years.length - 1, at + 1)]?.year ?? null); }} disabled={at === years.length - 1} aria-label={choice.drawn ? "A fuller draw" : "A fuller year"}>›</button>
        <button type="button" class="clear" onClick={() => { if (picked !== null) choice.pick(picked); }} disabled={picked === null}>{choice.drawn ? "all draws" : "all years"}</button>
      </div>
      <a class="to-cautions" href="#cautions">Cautions</a>
    </aside>
  );
}
