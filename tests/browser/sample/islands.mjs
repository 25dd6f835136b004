// Invented islands: each a wobbly disc cut into sectors, and the weather cells whose centre lies on them.

const kCell = 0.05;

function radius(island, angle) {
  return island.r * (1 + 0.16 * Math.sin(2 * angle + island.phase) + 0.09 * Math.sin(5 * angle + 2 * island.phase) + 0.04 * Math.sin(11 * angle));
}

const point = (island, angle, r) => [island.lon + (r * Math.cos(angle)) / Math.cos((island.lat * Math.PI) / 180), island.lat + r * Math.sin(angle)];

/** One sector of an island as a counterclockwise ring (RFC 7946). */
function sector(island, from, to) {
  const ring = [[island.lon, island.lat]];
  for (let i = 0; i <= 40; ++i) {
    const a = from + ((to - from) * i) / 40;
    ring.push(point(island, a, radius(island, a)));
  }
  ring.push(ring[0]);
  return { type: "Polygon", coordinates: [ring] };
}

/** islands: [{lon, lat, r, phase, regions: [{region, name}]}] -> the map block's regions and cells. */
export function mapBlock(islands, qualifying) {
  const features = [], cells = [];
  for (const island of islands) {
    const n = island.regions.length, step = (2 * Math.PI) / n;
    island.regions.forEach((r, i) =>
      features.push({ type: "Feature", properties: { region: r.region, name: r.name }, geometry: sector(island, island.phase + i * step, island.phase + (i + 1) * step) }));
    const half = Math.ceil((island.r * 2.4) / kCell);
    for (let iy = -half; iy <= half; ++iy)
      for (let ix = -half; ix <= half; ++ix) {
        const lon = Math.round((island.lon + ix * kCell) / kCell) * kCell, lat = Math.round((island.lat + iy * kCell) / kCell) * kCell;
        const dx = (lon - island.lon) * Math.cos((island.lat * Math.PI) / 180), dy = lat - island.lat;
        const angle = Math.atan2(dy, dx);
        if (Math.hypot(dx, dy) > radius(island, angle) + kCell / 3) continue;
        let turn = (angle - island.phase) % (2 * Math.PI);
        if (turn < 0) turn += 2 * Math.PI;
        const base = qualifying(island.regions[Math.min(n - 1, Math.floor(turn / step))].region);
        cells.push({ lon, lat, w: kCell, h: kCell, qualifying_t_ha: Math.max(0, base * (1 + 0.25 * Math.sin(lon * 5.1) * Math.cos(lat * 7.3) - 0.3 * Math.hypot(dx, dy))) });
      }
  }
  return { crs: "EPSG:4326", regions: { type: "FeatureCollection", features }, cells };
}
