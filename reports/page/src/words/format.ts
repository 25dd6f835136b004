// Figures in words, rounded to what their range justifies: t to tens above 1,000, N to 0.01, shares to whole per cent.
import type { DateRange, Figure, Range } from "../document/types";

export const kNone = "–";
const kMonths = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

const grouped = (v: number, digits: number): string => {
  const fixed = Math.abs(v).toFixed(digits), [whole = "0", rest] = fixed.split(".");
  const sign = v < 0 && Number(fixed) !== 0 ? "−" : "";
  return sign + whole.replace(/\B(?=(\d{3})+(?!\d))/g, ",") + (rest ? `.${rest}` : "");
};
const show = (v: Figure | undefined, f: (x: number) => string): string => (v === null || v === undefined || !Number.isFinite(v) ? kNone : f(v));

export const count = (v: Figure | undefined, digits = 0): string => show(v, (x) => grouped(x, digits));
export const tonnes = (v: Figure | undefined): string => show(v, (x) => grouped(Math.abs(x) > 1000 ? Math.round(x / 10) * 10 : Math.abs(x) < 0.5 ? 0 : x, 0));
export const hectares = (v: Figure | undefined): string => show(v, (x) => grouped(x, 0));
export const tPerHa = (v: Figure | undefined): string => show(v, (x) => grouped(x, 2));
export const nPct = (v: Figure | undefined): string => show(v, (x) => grouped(x, 2));
export const pct1 = (v: Figure | undefined): string => show(v, (x) => grouped(x, 1));
export const share = (v: Figure | undefined): string => show(v, (x) => (x > 0 && x < 0.005 ? "<1" : x < 1 && x > 0.995 ? ">99" : grouped(100 * x, 0)));
export const price = (v: Figure | undefined): string => show(v, (x) => grouped(x, 0));
export const factor = (v: Figure | undefined): string => show(v, (x) => (Math.abs(x) >= 100 ? grouped(x, 0) : String(Number(x.toPrecision(4)))));
/** Thousands of the currency, for tables. */
export const thousands = (v: Figure | undefined): string => show(v, (x) => grouped(x / 1000, 0));
/** Money in a sentence: three figures. */
export function money(v: Figure | undefined, currency: string): string {
  return show(v, (x) => {
    const a = Math.abs(x);
    const amount = a >= 999500 ? `${(x / 1e6).toPrecision(3)} million` : a >= 1000 ? `${grouped(Math.round(x / 1000) * 1000, 0)}` : grouped(x, 0);
    return `${currency} ${amount.replace("-", "−")}`.trim();
  });
}

/** "5,260 to 8,800" from the tenths. */
export const between = (r: Range, f: (v: Figure) => string): string => (r.p10 === null || r.p90 === null ? kNone : `${f(r.p10)} to ${f(r.p90)}`);

const parts = (iso: string): [number, number, number] | null => {
  const m = /^(\d{4})-(\d{2})(?:-(\d{2}))?$/.exec(iso);
  return m ? [Number(m[1]), Number(m[2]), Number(m[3] ?? 1)] : null;
};
export const monthName = (iso: string): string => { const p = parts(iso); return p ? `${kMonths[p[1] - 1] ?? "?"} ${p[0]}` : iso || kNone; };
export const monthShort = (iso: string): string => { const p = parts(iso); return p ? `${(kMonths[p[1] - 1] ?? "?").slice(0, 3)} ${p[0]}` : iso || kNone; };
export const monthWord = (iso: string): string => { const p = parts(iso); return p ? (kMonths[p[1] - 1] ?? "?") : iso; };
export const yearOf = (iso: string): number => parts(iso)?.[0] ?? 0;
export const day = (iso: string | null): string => { const p = iso ? parts(iso) : null; return p ? `${p[2]} ${kMonths[p[1] - 1] ?? "?"} ${p[0]}` : kNone; };
export const dayShort = (iso: string | null): string => { const p = iso ? parts(iso) : null; return p ? `${p[2]} ${(kMonths[p[1] - 1] ?? "?").slice(0, 3)}` : kNone; };
export const daySpan = (r: DateRange): string => (r.p50 === null ? kNone : `${dayShort(r.p50)} (${dayShort(r.p10)} to ${r.p90 === null ? "later or never" : dayShort(r.p90)})`);

/** "a, b and c". */
export const and = (items: readonly string[]): string => (items.length < 2 ? (items[0] ?? "") : `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`);
export const plural = (n: number, one: string, many = `${one}s`): string => `${count(n)} ${n === 1 ? one : many}`;
export const capital = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);
/** Months written 2027-09 inside the document's own sentences, put into words. */
export const spoken = (s: string): string => s.replace(/\b(\d{4}-\d{2})\b(?!-\d)/g, (m) => monthShort(m));
