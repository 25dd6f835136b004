// A small test runner: cases register themselves, each gets the browser and the pages made from the samples.
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { samples } from "./sample/samples.mjs";

const kArguments = ["--no-sandbox", "--headless", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"];
const cases = [];

export function test(name, run) { cases.push({ name, run }); }

export function check(condition, message) { if (!condition) throw new Error(message); }
export function same(got, want, what) { check(got === want, `${what}: got ${JSON.stringify(got)}, want ${JSON.stringify(want)}`); }

/** report.html of a plan text, by the program's own function. */
export function reportOf(maker, text) { return execFileSync(maker, { input: text, maxBuffer: 1 << 28 }); }

/** Runs every case, or those whose name holds $ONLY; with $TIMES says how long each took. Returns the exit code. */
export async function runAll(maker) {
  const dir = mkdtempSync(join(tmpdir(), "rickyard-page-")), plans = samples(), files = {};
  for (const [name, plan] of Object.entries(plans)) files[name] = save(dir, name, reportOf(maker, JSON.stringify(plan)));
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: kArguments });
  let passed = 0, failed = 0;
  const only = process.env.ONLY;
  for (const { name, run } of cases.filter((c) => !only || c.name.includes(only))) {
    const opened = [], start = Date.now();
    const open = async (file, options = {}) => {
      const context = await browser.newContext({ viewport: { width: options.width ?? 1440, height: 900 }, colorScheme: options.scheme ?? "light", reducedMotion: options.motion ?? "reduce" });
      opened.push(context);
      const page = await context.newPage(), seen = { errors: [], requests: [], dialogs: [] };
      page.setDefaultTimeout(8000);
      page.on("console", (m) => { if (m.type() === "error" || m.type() === "warning") seen.errors.push(m.text()); });
      page.on("pageerror", (e) => seen.errors.push(String(e)));
      page.on("request", (r) => seen.requests.push(r.url()));
      page.on("dialog", (d) => { seen.dialogs.push(d.message()); d.dismiss(); });
      if (options.before) await page.addInitScript(options.before);
      await page.goto(pathToFileURL(file).href);
      return { page, seen };
    };
    try {
      await run({ open, plans, files, maker, write: (n, bytes) => save(dir, n, bytes) });
      ++passed;
    } catch (error) {
      ++failed;
      console.error(`FAILED ${name}\n  ${String(error.message).split("\n").slice(0, 12).join("\n  ")}`);
    }
    for (const context of opened) await context.close();
    if (process.env.TIMES) console.error(`${((Date.now() - start) / 1000).toFixed(1)} s  ${name}`);
  }
  await browser.close();
  rmSync(dir, { recursive: true, force: true });
  console.log(`${passed} passed, ${failed} failed`);
  return failed === 0 && passed > 0 ? 0 : 1;
}

function save(dir, name, bytes) {
  const file = join(dir, `${name}.html`);
  writeFileSync(file, bytes);
  return file;
}
