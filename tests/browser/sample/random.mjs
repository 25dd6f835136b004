// Seeded numbers for the sample documents: same seed, same documents, on every machine.

/** A generator of uniforms in [0, 1): mulberry32. */
export function uniforms(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Standard normals from uniforms (Box-Muller, one a call). */
export function normals(uniform) {
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}

/** Mean and quantiles (type 7, equal weights) of the finite values; nulls where there are none. */
export function range(values) {
  const v = values.filter(Number.isFinite).sort((a, b) => a - b);
  if (!v.length) return { mean: null, p10: null, p50: null, p90: null };
  const at = (p) => {
    const h = (v.length - 1) * p, i = Math.floor(h);
    return v[i] + (h - i) * ((v[i + 1] ?? v[i]) - v[i]);
  };
  return { mean: mean(v), p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

export const mean = (values) => values.reduce((a, b) => a + b, 0) / Math.max(values.length, 1);
