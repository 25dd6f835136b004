// Weather years as dots over a chart: pointed at by the nearest, one stop for the keyboard with arrows between dots.
import type { ComponentChildren, JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import { useYear } from "../year";

/** x, y in px of the chart. `row`: dots of one year in several rows are joined by a line. */
export interface Dot { year: number; x: number; y: number; label: string; hollow?: boolean; row?: number }

const kReach = 22;  // px from the pointer to the dot it takes

export function YearDots({ dots, width, height, about, name, radius = 3.2, joined, children }: { dots: Dot[]; width: number; height: number; about: string; name?: boolean; radius?: number; joined?: boolean; children?: ComponentChildren }): JSX.Element {
  const choice = useYear(), [at, setAt] = useState(0), svg = useRef<SVGSVGElement>(null);
  const nearest = (e: PointerEvent | MouseEvent): Dot | null => {
    const box = svg.current?.getBoundingClientRect();
    if (!box || box.width === 0) return null;
    const x = ((e.clientX - box.left) * width) / box.width, y = ((e.clientY - box.top) * height) / box.height;
    let best: Dot | null = null, least = kReach;
    for (const d of dots) { const far = Math.hypot(d.x - x, d.y - y); if (far < least) { least = far; best = d; } }
    return best;
  };
  const keys = (e: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key], here = dots[at];
    if (step !== undefined) {
      e.preventDefault();
      const next = Math.max(0, Math.min(dots.length - 1, at + step));
      setAt(next);
      svg.current?.querySelector<SVGElement>(`[data-dot="${next}"]`)?.focus();
    } else if ((e.key === "Enter" || e.key === " ") && here) { e.preventDefault(); choice.pick(here.year); }
    else if (e.key === "Escape") { choice.point(null); if (choice.picked !== null) choice.pick(choice.picked); }
  };
  const shown = dots.filter((d) => d.year === choice.shown);
  return (
    <svg ref={svg} class="over" viewBox={`0 0 ${width} ${height}`} width={width} height={height} role="group" aria-label={about}
      onPointerMove={(e) => { if (e.pointerType !== "touch") choice.point(nearest(e)?.year ?? null); }} onPointerLeave={() => choice.point(null)}
      onClick={(e) => { const d = nearest(e); if (d) choice.pick(d.year); }} onKeyDown={keys}>
      {children}
      {dots.map((d, i) => (
        <circle key={`${d.year}-${d.row ?? 0}`} data-dot={i} data-year={d.year} cx={d.x} cy={d.y} r={radius} class={d.hollow ? "dot hollow" : "dot"} role="button" aria-pressed={d.year === choice.picked} aria-label={d.label}
          tabIndex={i === Math.min(at, dots.length - 1) ? 0 : -1} onFocus={(e) => { setAt(i); if ((e.target as Element).matches(":focus-visible")) choice.point(d.year); }} onBlur={() => choice.point(null)} />
      ))}
      <g class="shown" aria-hidden="true">
        {joined && shown.length > 1 && <polyline points={shown.map((d) => `${d.x},${d.y}`).join(" ")} />}
        {shown.map((d) => <circle key={d.row ?? 0} cx={d.x} cy={d.y} r={radius + 2} />)}
        {name && shown[0] && <text x={Math.max(18, Math.min(width - 18, shown[0].x))} y={Math.max(12, shown[0].y - radius - 7)} text-anchor="middle">{choice.name(shown[0].year)}</text>}
      </g>
    </svg>
  );
}

/** Radius of a dot: smaller where there are many years. */
export const dotRadius = (years: number, usual: number): number => (years > 80 ? usual * 0.6 : usual);

/** Heights that keep dots of a row from covering each other: stacked up and down from the middle. Returns offsets in px. */
export function swarm(xs: readonly number[], radius: number, most: number): number[] {
  const gap = 2 * radius + 0.6, placed: { x: number; y: number }[] = [];
  const order = xs.map((_, i) => i).sort((a, b) => (xs[a] ?? 0) - (xs[b] ?? 0)), result = new Array<number>(xs.length).fill(0);
  for (const i of order) {
    const x = xs[i] ?? 0, near = placed.filter((p) => Math.abs(p.x - x) < gap);
    let y = 0;
    for (let k = 0; k < 60; ++k) {
      y = (k % 2 ? 1 : -1) * Math.ceil(k / 2) * (radius * 0.9);
      if (near.every((p) => Math.hypot(p.x - x, p.y - y) >= gap)) break;
    }
    y = Math.max(-most, Math.min(most, y));
    placed.push({ x, y });
    result[i] = y;
  }
  return result;
}
