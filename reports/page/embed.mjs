// A C++ file that holds the page as pieces of text, cut where the plan document goes.

// Ordinary string literals of at most a few thousand characters each: every compiler takes them, in a moment.
function literal(text) {
  const bytes = Buffer.from(text, "utf8"), lines = [];
  for (let i = 0; i < bytes.length; i += 4000) {
    let line = "";
    for (const b of bytes.subarray(i, i + 4000)) {
      const c = String.fromCharCode(b);
      line += c === "\\" || c === '"' ? `\\${c}` : c === "\n" ? "\\n" : c === "?" ? "\\?" : b < 32 || b > 126 ? `\\${b.toString(8).padStart(3, "0")}` : c;
    }
    lines.push(`"${line}"`);
  }
  return lines.length ? lines.join("\n") : '""';
}

/** `html` with its marks filled in, split at %PLAN%. */
export function cppSource(html, marks) {
  const filled = (part) => part.replace(/%([A-Z]+)%/g, (all, name) => marks[name] ?? all);
  const [before, after] = html.split("%PLAN%").map(filled);
  if (after === undefined) throw new Error("page.html has no place for the plan");
  const bytes = (s) => Buffer.byteLength(s, "utf8");
  return `// Made by reports/page/build.mjs. Do not edit.\n#include "reports/page_embed.h"\n\nnamespace rickyard {\nnamespace {\nconstexpr char kBefore[] =\n${literal(before)};\nconstexpr char kAfter[] =\n${literal(after)};\n}  // namespace\n\n` +
    `std::string_view page_before_plan() { return {kBefore, ${bytes(before)}}; }\nstd::string_view page_after_plan() { return {kAfter, ${bytes(after)}}; }\n\n}  // namespace rickyard\n`;
}
