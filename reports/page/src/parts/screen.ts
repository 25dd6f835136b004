// What the page is shown on: width of an element, wide or narrow window, paper.
import { options } from "preact";
import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";

const kPaperWidth = 672;  // A4 less its margins, CSS px

function useMedia(query: string): boolean {
  const [on, set] = useState(() => matchMedia(query).matches);
  useEffect(() => {
    const m = matchMedia(query), heard = () => set(m.matches);
    m.addEventListener("change", heard);
    return () => m.removeEventListener("change", heard);
  }, [query]);
  return on;
}

export const useWide = (): boolean => useMedia("(min-width: 1360px)");
export const useNarrow = (): boolean => useMedia("(max-width: 560px)");

// Printing lays the page out before it asks anybody: redraw at once, at paper width, and back again afterwards.
const listeners = new Set<(on: boolean) => void>();
let onPaper = false;
function turn(on: boolean): void {
  if (on === onPaper) return;
  onPaper = on;
  const usual = options.debounceRendering;
  options.debounceRendering = (redraw) => redraw();
  for (const heard of [...listeners]) heard(on);
  if (usual) options.debounceRendering = usual; else delete options.debounceRendering;
}
export function listenForPrinting(): void {
  addEventListener("beforeprint", () => turn(true));
  addEventListener("afterprint", () => turn(false));
  matchMedia("print").addEventListener("change", (e) => turn(e.matches));
}

export function usePaper(): boolean {
  const [on, set] = useState(onPaper);
  useLayoutEffect(() => { listeners.add(set); return () => { listeners.delete(set); }; }, []);
  return on;
}

/** Whether there is more of the referenced element to the side than it shows. */
export function useOverflow(): [RefObject<HTMLDivElement>, boolean] {
  const ref = useRef<HTMLDivElement>(null), [more, set] = useState(false);
  useLayoutEffect(() => {
    const at = ref.current, inner = at?.firstElementChild;
    if (!at || !inner) return undefined;
    const watch = new ResizeObserver(() => set(at.scrollWidth > at.clientWidth + 2));
    watch.observe(at);
    watch.observe(inner);
    return () => watch.disconnect();
  }, []);
  return [ref, more];
}

/** Width of the referenced element in CSS px, at paper width when printing; 0 before it is laid out. */
export function useWidth(paperWidth = kPaperWidth): [RefObject<HTMLDivElement>, number] {
  const ref = useRef<HTMLDivElement>(null), [width, set] = useState(0), paper = usePaper();
  useLayoutEffect(() => {
    const at = ref.current;
    if (!at) return undefined;
    const measure = () => set(Math.floor(at.getBoundingClientRect().width));
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(at);
    return () => watch.disconnect();
  }, []);
  return [ref, paper ? paperWidth : width];
}
