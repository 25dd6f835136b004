// Sentences with their figures set apart: say`In ${a} of ${b} years` keeps the words and the figures as segments.
export interface Segment { text: string; figure: boolean }
export type Sentence = Segment[];

export function say(words: TemplateStringsArray, ...figures: (string | number | Segment)[]): Sentence {
  return words.flatMap((text, i) => {
    const figure = figures[i];
    return figure === undefined ? [{ text, figure: false }] : [{ text, figure: false }, typeof figure === "object" ? figure : { text: String(figure), figure: true }];
  }).filter((s) => s.text !== "");
}

/** A word put into a sentence without being set apart. */
export const word = (text: string): Segment => ({ text, figure: false });

export const joined = (...sentences: (Sentence | null)[]): Sentence =>
  sentences.filter((s): s is Sentence => s !== null).flatMap((s, i) => (i === 0 ? s : [{ text: " ", figure: false }, ...s]));

export const plainText = (s: Sentence): string => s.map((x) => x.text).join("");
