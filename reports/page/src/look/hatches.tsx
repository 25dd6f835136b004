// Hatched fills of bought grain, one for each colour slot and one in grey, drawn once for the whole page.
import type { JSX } from "preact";

export function Hatches(): JSX.Element {
  const hatch = (id: string, colour: string, turn: number): JSX.Element => (
    <pattern key={id} id={id} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform={`rotate(${turn})`}>
      <rect width="6" height="6" style={{ fill: colour }} /><path d="M0,3H6" style={{ stroke: "var(--paper)", strokeWidth: 1.6 }} />
    </pattern>
  );
  return <svg class="unseen" width="0" height="0" aria-hidden="true"><defs>{[0, 1, 2, 3, 4, 5, 6, 7].map((i) => hatch(`hatch-${i}`, `var(--origin-${i})`, i % 2 ? -45 : 45))}{hatch("hatch-grey", "var(--grey-mid)", 45)}</defs></svg>;
}
