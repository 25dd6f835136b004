// A chart with its title, its sentence, and its table: beside it on a wide screen, under it on a narrow one.
import type { ComponentChildren, JSX } from "preact";
import { useId } from "preact/hooks";
import type { Sentence } from "../words/say";
import { usePaper, useWide } from "./screen";

export function Said({ sentence }: { sentence: Sentence }): JSX.Element {
  return <>{sentence.map((s, i) => (s.figure ? <b key={i}><bdi>{s.text}</bdi></b> : <span key={i}>{s.text}</span>))}</>;
}

export function Figure({ title, said, children, proof, beside, class: extra }: { title: ComponentChildren; said: Sentence; children?: ComponentChildren; proof?: ComponentChildren | undefined; beside?: boolean; class?: string }): JSX.Element {
  const id = useId(), wide = useWide(), paper = usePaper();
  return (
    <figure class={`figure ${beside && wide ? "beside" : ""} ${extra ?? ""}`} aria-labelledby={`${id}t`} aria-describedby={`${id}s`}>
      <div class="exhibit">
        <figcaption>
          <h3 id={`${id}t`}>{title}</h3>
          <p id={`${id}s`} class="said"><Said sentence={said} /></p>
        </figcaption>
        {children && <div class="drawn">{children}</div>}
      </div>
      {proof && <Proof open={paper || ((beside ?? false) && wide)}>{proof}</Proof>}
    </figure>
  );
}

export function Proof({ open, children, label }: { open: boolean; children: ComponentChildren; label?: string }): JSX.Element {
  return <details class={label ? "proof labelled" : "proof"} open={open}><summary>{label ?? "The figures behind this"}</summary>{children}</details>;
}

/** One question of the page: its rail with notes at the side, its answer, its evidence. */
export function View({ id, question, answer, detail, notes, children }: { id: string; question: string; answer: Sentence; detail?: Sentence | undefined; notes?: ComponentChildren; children: ComponentChildren }): JSX.Element {
  return (
    <section class="view" id={id} aria-labelledby={`${id}-q`}>
      <div class="rail"><h2 id={`${id}-q`}>{question}</h2>{notes && <div class="notes">{notes}</div>}</div>
      <div class="body">
        <p class="answer"><Said sentence={answer} /></p>
        {detail && <p class="detail"><Said sentence={detail} /></p>}
        {children}
      </div>
    </section>
  );
}
