// Every view draws for every sample, at every width, and says nothing silly.
import { check, same, test } from "../harness.mjs";

const kViews = ["enough", "where", "risk", "decide", "cost", "basis"];

for (const name of ["demo", "one_region", "forty_regions", "hostile", "formulas", "no_backups", "always_covered", "nulls", "no_cells"])
  test(`views: ${name}: all drawn, no error, nothing leaves the page`, async ({ open, files, plans }) => {
    const { page, seen } = await open(files[name]);
    for (const id of kViews) {
      const view = page.locator(`#${id}`);
      check((await view.locator(".answer").textContent()).length > 20, `${id} has no answer`);
      const empty = await view.locator("figure").evaluateAll((all) => all.filter((f) => !f.querySelector("svg, table, ul") || !f.querySelector("h3").textContent || f.querySelector(".said").textContent.length < 10).map((f) => f.textContent.slice(0, 60)));
      same(empty.join("; "), "", `${id}: figures without drawing, title or sentence`);
      const charts = await view.locator("figure:has(.ground), figure:has(.map)").evaluateAll((all) => all.filter((f) => !f.querySelector("table")).map((f) => f.querySelector("h3").textContent));
      same(charts.filter((t) => t !== "Orders as they fall due").join("; "), "", `${id}: charts without a table`);
    }
    same(await page.locator(".cautions li").count(), plans[name].cautions.length, "cautions");
    const text = await page.evaluate(() => document.getElementById("page").innerText);
    same(/\bNaN\b|undefined|Infinity|\[object|\bnull\b/.exec(text)?.[0] ?? "", "", "words of a machine on the page");
    const broken = await page.evaluate(() => [...document.querySelectorAll("svg *")].filter((e) => [...e.attributes].some((a) => /NaN|undefined|Infinity/.test(a.value))).map((e) => e.outerHTML.slice(0, 120)));
    same(broken.join("\n"), "", "marks without a place");
    same(seen.errors.join("; "), "", "console");
    same(seen.requests.filter((u) => !u.startsWith("file://") || !u.endsWith(`/${name}.html`)).join(" "), "", "requests");
    for (const width of [360, 768, 1024, 1920]) {
      await page.setViewportSize({ width, height: 900 });
      const fits = await page.waitForFunction((w) => document.documentElement.scrollWidth <= w, width).then(() => true, () => false);
      check(fits, `the page is wider than ${width} px`);
    }
  });

test("views: marks of the demo are where its figures say", async ({ open, files, plans }) => {
  const { page } = await open(files.demo), plan = plans.demo;
  same(await page.locator("#risk figure").nth(1).locator("[data-dot]").count(), plan.regions.length * plan.years.length, "a dot for each region and year");
  same(await page.locator("#where .map .outline").count(), plan.map.regions.features.length, "outlines on the map");
  same(await page.locator("#where .map .cell").count() > 3, true, "classes of cells");
  same(await page.locator('#where .panel').count(), 3, "a dry, a middle and a wet year");
  // Bars of the blend: the height of a whole month at 1 t per px scale must be the same for bars and need.
  const heights = await page.evaluate(() => {
    const svg = document.querySelector("#where .plot");
    return [...svg.querySelectorAll('g[aria-label="rect"] rect')].map((r) => Number(r.getAttribute("height")));
  });
  check(heights.length > 50 && heights.every((h) => h >= 0), "bars of the blend");
});

test("views: map puts north up and the outlines where their coordinates are", async ({ open, files, plans }) => {
  const { page } = await open(files.demo);
  const boxes = await page.evaluate(() => [...document.querySelectorAll("#where .map .outline")].map((o) => { const b = o.getBBox(); return [b.x + b.width / 2, b.y + b.height / 2]; }));
  const centre = plans.demo.map.regions.features.map((f) => { const r = f.geometry.coordinates[0]; return [(Math.min(...r.map((p) => p[0])) + Math.max(...r.map((p) => p[0]))) / 2, (Math.min(...r.map((p) => p[1])) + Math.max(...r.map((p) => p[1]))) / 2]; });
  for (let i = 0; i < boxes.length; ++i) for (let k = 0; k < i; ++k) {
    if (Math.abs(centre[i][0] - centre[k][0]) > 0.4) check(Math.sign(boxes[i][0] - boxes[k][0]) === Math.sign(centre[i][0] - centre[k][0]), `east is not right: ${i}, ${k}`);
    if (Math.abs(centre[i][1] - centre[k][1]) > 0.4) check(Math.sign(boxes[k][1] - boxes[i][1]) === Math.sign(centre[i][1] - centre[k][1]), `north is not up: ${i}, ${k}`);
  }
});

test("views: scale bar is true to 2 %", async ({ open, files, plans }) => {
  const { page } = await open(files.demo);
  const [px, km] = await page.evaluate(() => [Number(/h([\d.]+)/.exec(document.querySelector(".km path").getAttribute("d"))[1]), Number(/([\d.,]+) km/.exec(document.querySelector(".km").textContent)[1])]);
  // Height of all outlines in px against their span in latitude; 111.3 km a degree near 57 N (WGS84 meridian arc).
  const tall = await page.evaluate(() => { const b = [...document.querySelectorAll("#where .map .outline")].map((o) => o.getBBox()); return Math.max(...b.map((x) => x.y + x.height)) - Math.min(...b.map((x) => x.y)); });
  const lat = plans.demo.map.regions.features.flatMap((f) => f.geometry.coordinates[0].map((p) => p[1])), span = (Math.max(...lat) - Math.min(...lat)) * 111.3;
  const ratio = (tall / px) * km / span;
  check(Math.abs(ratio - 1) < 0.02, `scale bar is off by a factor ${ratio}`);
});

test("views: a line picked in the blend's title redraws it", async ({ open, files, plans }) => {
  const { page } = await open(files.demo), line = plans.demo.months[0].line;
  const before = await page.locator("#where .proof table").last().locator("tbody tr").count();
  await page.selectOption("#where select.word", line);
  const want = plans.demo.months.filter((m) => m.line === line).reduce((a, m) => a + m.blend.length, 0);
  await page.waitForFunction((n) => [...document.querySelectorAll("#where .proof table")].at(-1).tBodies[0].rows.length === n, want).catch(() => undefined);
  const after = await page.locator("#where .proof table").last().locator("tbody tr").count();
  same(after, want, "rows of the one line");
  check(after < before, "the table did not change");
});
