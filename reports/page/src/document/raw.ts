// What every reader of the document's text starts from: a value of any kind becomes a figure, a word, a list or a hole.
import type { Figure, Range } from "./types";

export type Raw = Record<string, unknown>;

export const object = (v: unknown): Raw => (typeof v === "object" && v !== null && !Array.isArray(v) ? (v as Raw) : {});
export const list = (v: unknown): Raw[] => (Array.isArray(v) ? v.map(object) : []);
export const plain = (v: unknown): unknown[] => (Array.isArray(v) ? v : []);
export const figure = (v: unknown): Figure => (typeof v === "number" && Number.isFinite(v) ? v : null);
export const text = (v: unknown): string => (typeof v === "string" ? v : typeof v === "number" ? String(v) : "");

export function range(v: unknown): Range {
  const r = object(v);
  return { mean: figure(r["mean"]), p10: figure(r["p10"]), p50: figure(r["p50"]), p90: figure(r["p90"]) };
}
