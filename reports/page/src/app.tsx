// The page: title block, one view a question, cautions, and the strip of years that ties the views together.
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import type { Plan } from "./document/types";
import { bySupply, monthTotals, origins as originsOf, yearTotals } from "./document/selections";
import { Hatches } from "./look/hatches";
import { YearStrip } from "./parts/year_strip";
import { Basis, Cautions } from "./views/basis";
import { Cost } from "./views/cost";
import { Decide } from "./views/decide";
import { Enough } from "./views/enough";
import { Risk } from "./views/risk";
import { Safety } from "./views/safety";
import { Sign } from "./views/sign";
import { TitleBlock } from "./views/title";
import { Where } from "./views/where";
import { YearContext, useYearChoice } from "./year";

export function App({ plan }: { plan: Plan }): JSX.Element {
  const years = useMemo(() => yearTotals(plan), [plan]), sorted = useMemo(() => bySupply(years), [years]), months = useMemo(() => monthTotals(plan, null), [plan]), origins = useMemo(() => originsOf(plan), [plan]);
  const choice = useYearChoice(sorted, plan.season.model === "formulas");
  // The same element as long as the plan is the same: picking a year redraws only what shows years, never the tables.
  const views = useMemo(() => (
    <main>
      <Enough plan={plan} months={months} years={years} origins={origins} />
      <Where plan={plan} months={months} years={years} origins={origins} />
      <Risk plan={plan} years={years} />
      <Safety plan={plan} />
      <Sign plan={plan} />
      <Decide plan={plan} origins={origins} />
      <Cost plan={plan} />
      <Basis plan={plan} years={years} />
      <Cautions plan={plan} />
    </main>
  ), [plan, months, years, origins]);
  return (
    <YearContext.Provider value={choice}>
      <Hatches />
      <TitleBlock plan={plan} />
      {views}
      <YearStrip />
    </YearContext.Provider>
  );
}
