// How an origin is filled: home regions plain, bought grain hatched, so that both survive grey print.
import type { Origin } from "../document/selections";

export const fillOf = (o: Origin): string => (o.home ? `var(--origin-${o.slot})` : `url(#hatch-${o.slot})`);
export const colourOf = (o: Origin): string => `var(--origin-${o.slot})`;
