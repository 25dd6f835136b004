// A chart in two layers: the ground drawn by Observable Plot (axes, bands, bars), and above it the weather years that can be picked.
import * as Plot from "@observablehq/plot";
import type { ComponentChildren, JSX } from "preact";
import { useLayoutEffect, useMemo, useRef } from "preact/hooks";

export type Scale = (v: unknown) => number;
export interface Scales { x: Scale; y: Scale; xStep: number; yStep: number; width: number; height: number }

/** Draws `options` without Plot's own style sheet (page.css has it, so the security policy needs no exception). `deps`: what the options depend on. */
export function Ground({ options, deps, children }: { options: Plot.PlotOptions; deps: unknown[]; children?: (s: Scales) => ComponentChildren }): JSX.Element {
  const host = useRef<HTMLDivElement>(null);
  const made = useMemo(() => {
    const svg = Plot.plot({ className: "plot", ...options });
    svg.querySelectorAll("style").forEach((s) => s.remove());
    svg.setAttribute("aria-hidden", "true");
    svg.removeAttribute("font-size");
    svg.removeAttribute("font-family");
    const apply = (name: "x" | "y"): { f: Scale; step: number } => {
      const scale = svg.scale(name) as { apply?: (v: unknown) => number; bandwidth?: number; step?: number } | undefined;
      return { f: (v) => (scale?.apply?.(v) ?? 0) + (scale?.bandwidth ?? 0) / 2, step: scale?.step ?? scale?.bandwidth ?? 0 };
    };
    const x = apply("x"), y = apply("y");
    return { svg, scales: { x: x.f, y: y.f, xStep: x.step, yStep: y.step, width: Number(svg.getAttribute("width")), height: Number(svg.getAttribute("height")) } };
  }, deps);
  useLayoutEffect(() => { host.current?.replaceChildren(made.svg); }, [made]);
  return <div class="ground"><div ref={host} />{children?.(made.scales)}</div>;
}
