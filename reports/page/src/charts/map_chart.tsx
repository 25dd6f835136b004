// The map: cells shaded by qualifying t/ha under the outlines of the regions. North is up; the plane is our own transverse Mercator on the data's middle.
import { geoArea, geoBounds, geoDistance, geoPath, geoTransverseMercator } from "d3";
import type { GeoProjection } from "d3";
import type { FeatureCollection, MultiPolygon, Polygon, Position } from "geojson";
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import type { MapBlock, Plan } from "../document/types";
import type { Origin } from "../document/selections";
import { colourOf } from "../look/origins";
import { useWidth } from "../parts/screen";
import { useYear } from "../year";
import { count, tPerHa } from "../words/format";
import { clip } from "./blend_chart";

const kClasses = 7, kEarthKm = 6371.0088;

// d3 takes the inside of a ring to be on its right; RFC 7946 puts it on the left. Turned where the area says so.
function turned<G extends Polygon | MultiPolygon>(g: G): G {
  const ring = (r: Position[], hole: boolean): Position[] => {
    const big = geoArea({ type: "Polygon", coordinates: [r] }) > 2 * Math.PI;
    return big !== hole ? [...r].reverse() : r;
  };
  const polygon = (p: Position[][]): Position[][] => p.map((r, i) => ring(r, i > 0));
  return (g.type === "Polygon" ? { ...g, coordinates: polygon(g.coordinates) } : { ...g, coordinates: g.coordinates.map(polygon) }) as G;
}

export interface Geography { projection: GeoProjection; outlines: { region: string; name: string; d: string; x: number; y: number; room: number }[]; cells: string[]; breaks: number[]; width: number; height: number; km: number; kmPx: number }

/** Everything of the map in px, for a given width. */
export function geography(map: MapBlock, width: number, mostHeight: number): Geography {
  const shapes: FeatureCollection<Polygon | MultiPolygon> = { type: "FeatureCollection", features: map.regions.map((r) => ({ type: "Feature", properties: {}, geometry: turned(r.geometry) })) };
  const [[west], [east]] = geoBounds(shapes), middle = west <= east ? (west + east) / 2 : (west + east + 360) / 2;
  const projection = geoTransverseMercator().rotate([-middle, 0]).precision(0.2), pad = 10;
  projection.fitWidth(width - 2 * pad, shapes);
  let path = geoPath(projection), [[, y0], [, y1]] = path.bounds(shapes);
  let height = Math.ceil(y1 - y0) + 2 * pad;
  if (height > mostHeight) height = mostHeight;
  projection.fitExtent([[pad, pad], [width - pad, height - pad]], shapes);
  path = geoPath(projection);
  const values = map.cells.map((c) => c.qualifying_t_ha), low = Math.min(...values), high = Math.max(...values);
  const breaks = map.cells.length ? classBreaks(low, high) : [];
  const cells = breaks.slice(0, -1).map(() => "");
  for (const c of map.cells) {
    const above = breaks.findIndex((b) => b > c.qualifying_t_ha), k = above < 0 ? cells.length - 1 : Math.max(0, above - 1);
    const corners = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([dx = 0, dy = 0]) => projection([c.lon + (dx * c.w) / 2, c.lat + (dy * c.h) / 2]));
    if (corners.every((p): p is [number, number] => p !== null)) cells[k] += `M${corners.map((p) => `${p[0].toFixed(1)},${p[1].toFixed(1)}`).join("L")}Z`;
  }
  const outlines = map.regions.map((r, i) => {
    const feature = shapes.features[i]!, [x, y] = path.centroid(feature), [[bx0], [bx1]] = path.bounds(feature);
    return { region: r.region, name: r.name, d: path(feature) ?? "", x, y, room: bx1 - bx0 };
  });
  const a = projection.invert?.([width / 2 - 50, height / 2]), b = projection.invert?.([width / 2 + 50, height / 2]);
  const per = a && b ? (geoDistance(a, b) * kEarthKm) / 100 : 1, km = nice(per * Math.min(120, width / 4));
  return { projection, outlines, cells, breaks, width, height, km, kmPx: km / per };
}

function nice(v: number): number {
  const p = 10 ** Math.floor(Math.log10(Math.max(v, 1e-6))), f = v / p;
  return (f >= 5 ? 5 : f >= 2 ? 2 : 1) * p;
}

function classBreaks(low: number, high: number): number[] {
  const span = Math.max(high - low, 1e-6), raw = span / kClasses, p = 10 ** Math.floor(Math.log10(raw));
  const cut = (step: number): number[] => { const first = Math.floor(low / step) * step, n = Math.floor((high - first) / step) + 1; return Array.from({ length: n + 1 }, (_, i) => first + i * step); };
  return [1, 2, 2.5, 5, 10, 20].map((m) => cut(m * p)).find((b) => b.length - 1 <= kClasses) ?? cut(10 * raw);
}

interface Label { region: string; text: string; x: number; y: number; numbered: boolean }

// Names where they fit without touching, else the number that stands in the table.
function place(geo: Geography, numbers: Map<string, number>, size: number): Label[] {
  const taken: [number, number, number, number][] = [];
  const free = (b: [number, number, number, number]) => b[0] >= 0 && b[2] <= geo.width && b[1] >= 0 && b[3] <= geo.height && taken.every((t) => b[2] < t[0] || b[0] > t[2] || b[3] < t[1] || b[1] > t[3]);
  const order = [...geo.outlines].sort((a, b) => b.room - a.room);
  return order.map((o) => {
    const text = clip(o.name, 22), w = [...text].length * size * 0.58 + 10, h = size * 1.25;
    if ([...text].length * size * 0.58 < Math.max(o.room * 1.5, 90))
      for (const dy of [0, -h, h, -1.8 * h, 1.8 * h]) for (const dx of [0, -w / 3, w / 3]) {
        const box: [number, number, number, number] = [o.x + dx - w / 2, o.y + dy - h / 2, o.x + dx + w / 2, o.y + dy + h / 2];
        if (free(box)) { taken.push(box); return { region: o.region, text, x: o.x + dx, y: o.y + dy, numbered: false }; }
      }
    taken.push([o.x - size, o.y - h / 2, o.x + size, o.y + h / 2]);
    return { region: o.region, text: String(numbers.get(o.region) ?? ""), x: o.x, y: o.y, numbered: true };
  });
}

export function MapChart({ plan, map, origins, numbers }: { plan: Plan; map: MapBlock; origins: Origin[]; numbers: Map<string, number> }): JSX.Element {
  const [ref, width] = useWidth(440), choice = useYear();
  const geo = useMemo(() => (width > 0 ? geography(map, width, Math.min(620, width * 1.1)) : null), [map, width]);
  const labels = useMemo(() => (geo ? place(geo, numbers, 13) : []), [geo, numbers]);
  const inYear = (id: string): number | null => {
    const r = plan.regions.find((x) => x.region === id), y = r?.by_year.find((x) => x.year === choice.shown);
    return r && y && y.qualifying_t !== null && r.harvested_ha ? y.qualifying_t / r.harvested_ha : null;
  };
  const followed = choice.shown !== null;
  return (
    <div ref={ref}>
      {geo && <>
        <svg class="map" viewBox={`0 0 ${geo.width} ${geo.height}`} width={geo.width} height={geo.height} aria-hidden="true">
          <clipPath id="land"><path d={geo.outlines.map((o) => o.d).join("")} /></clipPath>
          <path d={geo.outlines.map((o) => o.d).join("")} class="ground-land" />
          <g clip-path="url(#land)">{geo.cells.map((d, i) => <path key={i} d={d} class="cell" style={{ fill: `var(--map-${shade(i, geo.cells.length)})`, stroke: `var(--map-${shade(i, geo.cells.length)})` }} />)}</g>
          {geo.outlines.map((o) => <path key={o.region} d={o.d} class={geo.cells.length ? "outline" : "outline empty"} />)}
          {labels.map((l) => {
            const region = plan.regions.find((r) => r.region === l.region), origin = origins.find((o) => region && o.members.includes(region.origin)), t = inYear(l.region);
            return (
              <g key={l.region} class="place" transform={`translate(${l.x},${l.y})`}>
                <text text-anchor="middle" dy="0.35em" class={l.numbered ? "number" : ""}>{l.text}</text>
                {origin && !l.numbered && <rect x={-9} y={9} width={18} height={3.5} style={{ fill: colourOf(origin) }} />}
                {followed && !l.numbered && t !== null && <text text-anchor="middle" y={22} dy="0.35em" class="in-year">{tPerHa(t)}</text>}
              </g>
            );
          })}
        </svg>
        <div class="map-foot">
          {geo.breaks.length > 1 && <p class="scale"><span>t/ha that qualifies, mean of years:</span>{geo.cells.map((_, i) => <span key={i} class="class"><svg width="28" height="10" aria-hidden="true"><rect width="28" height="10" style={{ fill: `var(--map-${shade(i, geo.cells.length)})` }} /></svg>{count(geo.breaks[i] ?? null, digits(geo.breaks))}–{count(geo.breaks[i + 1] ?? null, digits(geo.breaks))}</span>)}<span class="class"><svg width="28" height="10" aria-hidden="true"><rect class="blank" width="28" height="10" /></svg>no figure</span></p>}
          <p class="km"><svg width={geo.kmPx + 2} height="8" aria-hidden="true"><path d={`M1,1v6h${geo.kmPx}v-6`} /></svg> {count(geo.km, geo.km < 1 ? 1 : 0)} km <span class="north" aria-label="north is up">N ↑</span></p>
          {followed && <p class="note">In red: t/ha of each region in {choice.name(choice.shown ?? 0)}. The shading stays the mean of all years.</p>}
        </div>
      </>}
    </div>
  );
}

const digits = (breaks: number[]): number => ((breaks[1] ?? 1) - (breaks[0] ?? 0) < 0.1 ? 2 : 1);
const shade = (i: number, n: number): number => (n <= 1 ? 3 : Math.round((i * 6) / (n - 1)));

/** A wee map with one region filled: beside its row of a table. The outlines are drawn once, by OutlineStore. */
export function Locator({ geo, region }: { geo: Geography | null; region: string }): JSX.Element | null {
  const at = geo?.outlines.find((o) => o.region === region);
  return geo && at ? <svg class="locator" viewBox={`0 0 ${geo.width} ${geo.height}`} width={40} height={Math.round((40 * geo.height) / geo.width)} aria-hidden="true"><use href="#every-region" /><path d={at.d} class="here" /></svg> : null;
}

export function OutlineStore({ geo }: { geo: Geography | null }): JSX.Element | null {
  return geo && <svg class="unseen" width="0" height="0" aria-hidden="true"><defs><path id="every-region" class="every" d={geo.outlines.map((o) => o.d).join("")} /></defs></svg>;
}
