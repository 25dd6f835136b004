// Licence notices of the libraries that are inside the bundle, from the lock file and the packages' own licence texts.
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";

const kAllowed = new Set(["MIT", "ISC", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "Apache-2.0", "Unlicense"]);

/** Text of all notices. Throws where a bundled package is not locked, has a licence outside the list, or carries no licence text. */
export function notices(dir, bundled) {
  const lock = JSON.parse(readFileSync(join(dir, "package-lock.json"), "utf8"));
  const wrong = [], parts = [];
  for (const [path, entry] of Object.entries(lock.packages)) {
    if (path === "" || entry.dev || entry.optional) continue;
    const name = path.replace(/^.*node_modules\//, "");
    if (!kAllowed.has(entry.license)) wrong.push(`${name} ${entry.version}: licence ${entry.license ?? "not stated"}`);
  }
  for (const name of [...bundled].sort()) {
    const entry = lock.packages[`node_modules/${name}`];
    if (!entry || entry.dev) { wrong.push(`${name}: bundled, but not a locked dependency of the page`); continue; }
    const folder = join(dir, "node_modules", name), file = existsSync(folder) && readdirSync(folder).find((f) => /^licen[cs]e/i.test(f));
    if (!file) { wrong.push(`${name} ${entry.version}: no licence text in the package`); continue; }
    parts.push(`${name} ${entry.version} (${entry.license})\n\n${readFileSync(join(folder, file), "utf8").trim()}\n`);
  }
  if (wrong.length) throw new Error(`licences to settle before this can be built:\n  ${wrong.join("\n  ")}`);
  return parts.join("\n----\n\n");
}
