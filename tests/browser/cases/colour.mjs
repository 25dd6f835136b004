// The origin colours: 3:1 against the paper, apart from each other in ordinary sight, in the three common deficiencies, and in grey between neighbours.
// Simulation of deficiencies: Machado, Oliveira and Fernandes 2009, severity 1, on linear RGB. Distance: OKLab (Ottosson 2020) x 100.
import { check, test } from "../harness.mjs";

const kSight = {
  ordinary: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protan: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deutan: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritan: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};
const kLeast = 9;         // OKLab x 100; two flat colours side by side are told apart well below this (practice, no source)
const kLeastGrey = 0.05;  // OKLab lightness between neighbours in the stack

const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
const rgb = (css) => (css.startsWith("#") ? [1, 3, 5].map((i) => parseInt(css.slice(i, i + 2), 16) / 255) : css.match(/[\d.]+/g).slice(0, 3).map((v) => v / 255)).map(linear);
const luminance = (v) => 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
const seen = (m, v) => m.map((r) => Math.min(1, Math.max(0, r[0] * v[0] + r[1] * v[1] + r[2] * v[2])));
const contrast = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
function oklab(v) {
  const l = Math.cbrt(0.4122214708 * v[0] + 0.5363325363 * v[1] + 0.0514459929 * v[2]), m = Math.cbrt(0.2119034982 * v[0] + 0.6806995451 * v[1] + 0.1073969566 * v[2]), s = Math.cbrt(0.0883024619 * v[0] + 0.2817188376 * v[1] + 0.6299787005 * v[2]);
  return [0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s, 1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s, 0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s];
}

for (const scheme of ["light", "dark"])
  test(`colour: origins told apart, ${scheme}`, async ({ open, files }) => {
    const { page } = await open(files.demo, { scheme });
    const [paper, ...colours] = await page.evaluate(() => { const s = getComputedStyle(document.documentElement); return ["--paper", ...[0, 1, 2, 3, 4, 5, 6, 7].map((i) => `--origin-${i}`)].map((n) => s.getPropertyValue(n).trim()); });
    colours.forEach((c, i) => check(contrast(rgb(c), rgb(paper)) >= 3, `origin ${i} ${c}: contrast ${contrast(rgb(c), rgb(paper)).toFixed(2)}`));
    for (const [sight, m] of Object.entries(kSight)) colours.forEach((a, i) => colours.slice(0, i).forEach((b, k) => {
      const x = oklab(seen(m, rgb(a))), y = oklab(seen(m, rgb(b))), apart = 100 * Math.hypot(...x.map((v, j) => v - y[j]));
      check(apart >= kLeast, `${sight}: origins ${k} and ${i} are ${apart.toFixed(1)} apart`);
    }));
    for (let i = 1; i < colours.length; ++i) { const d = Math.abs(oklab(rgb(colours[i]))[0] - oklab(rgb(colours[i - 1]))[0]); check(d >= kLeastGrey, `origins ${i - 1} and ${i} are ${d.toFixed(3)} apart in grey`); }
  });

for (const scheme of ["light", "dark"])
  test(`colour: marks and words against the paper, ${scheme}`, async ({ open, files }) => {
    const { page } = await open(files.demo, { scheme });
    const value = await page.evaluate(() => { const s = getComputedStyle(document.documentElement); return Object.fromEntries(["paper", "ink", "ink-2", "pick", "dot", "grey-dark", "grey-mid", "wash", "band"].map((n) => [n, s.getPropertyValue(`--${n}`).trim()])); });
    for (const [name, ground, least] of [["ink", "paper", 4.5], ["ink-2", "paper", 4.5], ["ink-2", "wash", 4.5], ["pick", "paper", 4.5], ["dot", "paper", 3], ["dot", "band", 3], ["pick", "band", 3], ["grey-dark", "paper", 3], ["grey-mid", "paper", 3]])
      check(contrast(rgb(value[name]), rgb(value[ground])) >= least, `${name} on ${ground}: ${contrast(rgb(value[name]), rgb(value[ground])).toFixed(2)}`);
  });
