// Hostile text stays text, the page asks for nothing, broken documents are named in words.
import { readFileSync, statSync } from "node:fs";
import { check, reportOf, same, test } from "../harness.mjs";

test("safety: markup in names is shown, not run", async ({ open, files, plans }) => {
  const { page, seen } = await open(files.hostile);
  same(seen.dialogs.join(), "", "dialogs");
  same(await page.locator("#page img, #page script, #page iframe, #page object").count(), 0, "elements from names");
  const text = await page.evaluate(() => document.getElementById("page").textContent);
  for (const r of plans.hostile.regions.slice(0, 4)) check(text.includes(r.name), `the name ${r.name} is not shown as it is`);
  for (const w of plans.hostile.warnings) check(text.includes(w), `the warning ${w} is not shown as it is`);
});

test("safety: right-to-left names keep to themselves", async ({ open, files }) => {
  const { page } = await open(files.hostile);
  const bare = await page.evaluate(() => [...document.querySelectorAll("#page td, #page th, #page li, #page dd")].filter((e) => /[\u0590-\u08ff\u202e]/.test([...e.childNodes].filter((n) => n.nodeType === 3).map((n) => n.data).join(""))).filter((e) => e.getAttribute("dir") !== "auto").map((e) => e.outerHTML.slice(0, 80)));
  same(bare.join("\n"), "", "cells without their own direction");
});

test("safety: nothing in the plan can end its element", ({ files }) => {
  const html = readFileSync(files.hostile, "utf8"), start = html.indexOf('id="plan">') + 10, data = html.slice(start, html.indexOf("</script>", start));
  check(!data.includes("<"), "a raw < in the data");
  check(JSON.parse(data).regions[0].name.includes("<script>"), "the name is not carried");
});

test("safety: the policy stops inline scripts, images and connections", async ({ open, files }) => {
  const { page } = await open(files.demo);
  const stopped = await page.evaluate(async () => {
    const seen = [];
    document.addEventListener("securitypolicyviolation", (e) => seen.push(e.effectiveDirective));
    const script = document.createElement("script");
    script.textContent = "window.ran = true";
    document.body.append(script);
    const image = document.createElement("img");
    image.src = "http://127.0.0.1:9/x.png";
    document.body.append(image);
    await fetch("http://127.0.0.1:9/").catch(() => undefined);
    for (let i = 0; i < 60 && seen.length < 3; ++i) await new Promise((done) => setTimeout(done, 50));
    return { ran: window.ran === true, seen };
  });
  same(stopped.ran, false, "an inline script ran");
  for (const d of ["script-src-elem", "img-src", "connect-src"]) check(stopped.seen.includes(d), `${d} was not enforced (${stopped.seen})`);
});

test("safety: no address of another place in the page", ({ files }) => {
  const html = readFileSync(files.demo, "utf8"), code = html.slice(0, html.indexOf('<footer'));
  const found = [...code.matchAll(/https?:\/\/[^\s"'`<>)\\]+/g)].map((m) => m[0]).filter((u) => !/^http:\/\/www\.w3\.org\//.test(u));
  same([...new Set(found)].join(" "), "", "addresses");
});

test("safety: under 3 MB, except where the document alone is more", ({ files, plans }) => {
  for (const [name, file] of Object.entries(files)) {
    const size = statSync(file).size, own = size - Buffer.byteLength(JSON.stringify(plans[name]));
    check(size < 3e6, `${name}: ${size} bytes`);
    check(own < 6e5, `${name}: the page without its plan takes ${own} bytes`);
  }
});

test("safety: not a plan document: said in words", async ({ open, maker, write }) => {
  for (const [name, text] of [["empty", ""], ["list", "[1,2]"], ["cut", '{"rickyard":{"version":"0.1'], ["text", "</script><script>alert(9)</script>"]]) {
    const { page, seen } = await open(write(`bad_${name}`, reportOf(maker, text)));
    check((await page.textContent("[role=alert]")).startsWith("This page cannot show its plan"), name);
    same(seen.dialogs.length, 0, "dialogs");
  }
});

test("safety: a document of holes still draws", async ({ open, maker, write, plans }) => {
  const hollow = (v, depth) => (Array.isArray(v) ? (depth > 3 ? [] : v.slice(0, 2).map((x) => hollow(x, depth + 1))) : v && typeof v === "object" ? Object.fromEntries(Object.entries(v).map(([k, x]) => [k, hollow(x, depth + 1)])) : typeof v === "number" ? null : v);
  for (const [name, doc] of [["nothing", {}], ["holes", hollow(plans.demo, 0)], ["wrong_types", { ...plans.demo, regions: "none", months: { a: 1 }, years: 3, cover: [], cost: null, map: { regions: 5, cells: [{}] } }]]) {
    const { page, seen } = await open(write(name, reportOf(maker, JSON.stringify(doc))));
    same(await page.locator(".view").count(), 7, `${name}: views`);
    same(seen.errors.join("; "), "", `${name}: console`);
  }
});

test("safety: bytes that are not UTF-8 become the replacement character", ({ maker }) => {
  const html = reportOf(maker, Buffer.from([0x7b, 0x22, 0x61, 0x22, 0x3a, 0x22, 0xff, 0xe2, 0x82, 0xed, 0xa0, 0x80, 0x22, 0x7d])).toString("latin1");
  const data = Buffer.from(html.slice(html.indexOf('id="plan">') + 10, html.indexOf("</script>", html.indexOf('id="plan">'))), "latin1");
  same(new TextDecoder("utf-8", { fatal: true }).decode(data), '{"a":"\ufffd\ufffd\ufffd\ufffd\ufffd\ufffd"}', "data");
});
