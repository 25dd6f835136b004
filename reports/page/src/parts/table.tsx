// The proof under a chart: every figure of the document that the chart draws, with its place in the document on the cell.
import type { ComponentChildren, JSX } from "preact";
import type { Figure, Range } from "../document/types";
import { kNone } from "../words/format";
import { useState } from "preact/hooks";
import { useNarrow, useOverflow, usePaper } from "./screen";

/** A figure cell: `at` is the path in plan.json, `f` puts it into words. */
export interface FigureCell { v: Figure; f: (v: Figure) => string; at?: string }
export type Cell = FigureCell | { node: ComponentChildren } | string;
/** `extra`: left out on a phone until it is asked for. */
export interface Column { head: ComponentChildren; unit?: string; text?: boolean; group?: string; extra?: boolean }

const isFigure = (c: Cell): c is FigureCell => typeof c === "object" && "f" in c;

function Td({ cell, text }: { cell: Cell; text: boolean }): JSX.Element {
  if (typeof cell === "string") return <td class={text ? "words" : ""} dir={text ? "auto" : undefined}>{cell || kNone}</td>;
  if (!isFigure(cell)) return <td class={text ? "words" : ""}>{cell.node}</td>;
  return <td data-at={cell.at} data-v={cell.at === undefined ? undefined : cell.v === null ? "null" : String(cell.v)}>{cell.f(cell.v)}</td>;
}

const kMostPaperRows = 60;

/** Rows whose first cell names the row. `long`: left off the paper when it would fill pages. `groups`: heads that span several columns. */
export function Table({ caption, columns: every, rows: full, class: extra, long }: { caption: string; columns: Column[]; rows: Cell[][]; class?: string; long?: boolean }): JSX.Element {
  const paper = usePaper(), narrow = useNarrow(), [all, setAll] = useState(false), [ref, more] = useOverflow();
  const hidden = narrow && !paper && every.some((c) => c.extra), cut = hidden && !all, columns = cut ? every.filter((c) => !c.extra) : every, rows = cut ? full.map((row) => row.filter((_, i) => !every[i]?.extra)) : full;
  const groups = grouped(columns);
  if (long && paper && rows.length > kMostPaperRows) return <p class="note">{caption}: {rows.length} rows, left off the paper. They are in the page itself and in plan.json.</p>;
  return (
    <>
    {(more || hidden) && <p class="note more">{more && <>There is more to the right: scroll the table sideways <span aria-hidden="true">→</span> </>}{hidden && <button type="button" class="word" aria-expanded={all} onClick={() => setAll(!all)}>{all ? "fewer columns" : `all ${every.length} columns`}</button>}</p>}
    <div ref={ref} class={`scroll ${more ? "on" : ""} ${extra ?? ""}`} role="region" aria-label={caption} tabIndex={0}>
      <table>
        <caption class="unseen">{caption}</caption>
        <thead>
          {groups && <tr>{groups.map((g, i) => (g.name ? <th key={i} colSpan={g.span} scope="colgroup" class="group">{g.name}</th> : <td key={i} colSpan={g.span} />))}</tr>}
          <tr>{columns.map((c, i) => (c.head === "" ? <td key={i} class="no-head" /> : <th key={i} scope="col" class={c.text || i === 0 ? "words" : ""}>{c.head}{c.unit && <span class="unit"> {c.unit}</span>}</th>))}</tr>
        </thead>
        <tbody>
          {rows.map((row, r) => (
            <tr key={r}>
              {row.map((cell, c) => (c === 0 ? <th key={c} scope="row" class="words" dir="auto">{typeof cell === "string" ? cell || kNone : isFigure(cell) ? cell.f(cell.v) : cell.node}</th> : <Td key={c} cell={cell} text={columns[c]?.text ?? false} />))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
    </>
  );
}

function grouped(columns: Column[]): { name: string; span: number }[] | null {
  if (!columns.some((c) => c.group)) return null;
  const groups: { name: string; span: number }[] = [];
  for (const c of columns) {
    const last = groups[groups.length - 1], name = c.group ?? "";
    if (last && last.name === name) ++last.span; else groups.push({ name, span: 1 });
  }
  return groups;
}

/** Four columns of a range: mean and the three quantiles, in the trade's words with the term beside. */
export function rangeColumns(group: string): Column[] {
  return [
    { head: "mean", group },
    { head: <>1 in 10 below <span class="term">P10</span></>, group },
    { head: <>half below <span class="term">P50</span></>, group },
    { head: <>1 in 10 above <span class="term">P90</span></>, group },
  ];
}
export const rangeCells = (r: Range, f: (v: Figure) => string, at: string): Cell[] => (["mean", "p10", "p50", "p90"] as const).map((k) => ({ v: r[k], f, at: `${at}.${k}` }));
