// Bundles the page: dist/page.js, dist/page.css, dist/notices.txt, and dist/page_bytes.cpp, the same bytes for the binary.
// node build.mjs [--out DIR]
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { cppSource } from "./embed.mjs";
import { notices } from "./notices.mjs";

const here = fileURLToPath(new URL(".", import.meta.url));
const flag = process.argv.indexOf("--out"), out = flag > 0 ? process.argv[flag + 1] : join(here, "dist");

const made = await build({
  entryPoints: [join(here, "src/main.tsx"), join(here, "src/look/page.css")], outdir: out, write: false, bundle: true, minify: true,
  format: "iife", target: ["es2022", "chrome110", "firefox115", "safari16.4"], jsx: "automatic", jsxImportSource: "preact", legalComments: "none", charset: "ascii", metafile: true, logLevel: "warning",
});
const text = (ending) => {
  const file = made.outputFiles.find((f) => f.path.endsWith(ending));
  if (!file) throw new Error(`esbuild made no ${ending}`);
  return file.text.trim();
};
// Inside <script> and <style> only these could end the element; in script text both escapes mean the same characters.
const script = text("main.js").replace(/<\/(script)/gi, "<\\/$1").replace(/<!--/g, "\\x3c!--"), style = text("page.css");
if (/<\/style/i.test(style)) throw new Error("the style sheet would end its own element");

const hash = (s) => `'sha256-${createHash("sha256").update(s, "utf8").digest("base64")}'`;
const policy = ["default-src 'none'", `script-src ${hash(script)}`, `style-src ${hash(style)}`, "img-src 'none'", "connect-src 'none'", "base-uri 'none'", "form-action 'none'"].join("; ");
const bundled = new Set(Object.keys(made.metafile.inputs).flatMap((path) => /node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(path.replace(/^.*node_modules\//, "node_modules/"))?.[1] ?? []));
const licences = notices(here, bundled), html = readFileSync(join(here, "src/page.html"), "utf8");

mkdirSync(out, { recursive: true });
writeFileSync(join(out, "page.js"), script);
writeFileSync(join(out, "page.css"), style);
writeFileSync(join(out, "notices.txt"), licences);
writeFileSync(join(out, "page_bytes.cpp"), cppSource(html, { CSP: policy, STYLE: style, SCRIPT: script, NOTICES: licences.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;") }));
console.log(`page.js ${(script.length / 1024).toFixed(0)} kB, page.css ${(style.length / 1024).toFixed(0)} kB, ${bundled.size} libraries`);
