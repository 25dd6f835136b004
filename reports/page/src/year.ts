// The weather year that the reader has picked or points at: one for the whole page.
import { createContext } from "preact";
import { useContext, useMemo, useState } from "preact/hooks";
import type { YearTotal } from "./document/selections";

export interface YearChoice {
  picked: number | null;     // stays until picked again or cleared
  shown: number | null;      // what is pointed at, else what is picked
  point(year: number | null): void;
  pick(year: number | null): void;
  years: readonly YearTotal[];  // from least to most qualifying grain
  name(year: number): string;
  drawn: boolean;            // drawn years, whose numbers are no calendar years
}

const nothing: YearChoice = { picked: null, shown: null, point: () => undefined, pick: () => undefined, years: [], name: String, drawn: false };
export const YearContext = createContext<YearChoice>(nothing);
export const useYear = (): YearChoice => useContext(YearContext);

export function useYearChoice(years: readonly YearTotal[], drawn: boolean): YearChoice {
  const [picked, pick] = useState<number | null>(null);
  const [pointed, point] = useState<number | null>(null);
  return useMemo(() => ({
    picked, shown: pointed ?? picked, point, years, drawn,
    pick: (year) => { point(null); pick((old) => (old === year ? null : year)); },
    name: (year) => (drawn ? `draw ${year}` : String(year)),
  }), [picked, pointed, years, drawn]);
}
