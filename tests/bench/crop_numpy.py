"""The daily crop of planner/METHODS.md over many cells at once: NumPy arrays over (sowing date, cell), the day loop in Python.

A yardstick for the crop kernel, written from the methods text. Defaults are read from the text's own tables; the day-length factor, a known
sowing date, parts of drilling, the season in hand and the sums that are only checks of the model are left out: the benchmark asks for none of them.

Usage: crop_numpy.py FOLDER METHODS.md
FOLDER holds what bench_crop wrote: case.txt ("cells days first-day"), rain.i4, tmin.i4, tmax.i4 ([day][cell], hundredths), cells.f8
([latitude, sand, clay, group, root depth, elevation][cell]). Reads lines "YEARS CELLS MM-DD ..." (the number of harvest years, the first so
many cells, planned dates), answers each with the CPU seconds the run took. "records PATH YEARS CELLS MM-DD ..." also writes the figures of FIELDS
as [field][date][year][cell].
"""
import datetime
import re
import sys
import time

import numpy as np

FIELDS = ("sown", "emerged", "stem", "heading", "ripe", "harvested", "relative_yield", "duration", "duration_planned", "water_factor",
          "deficit_fill", "waterlogged", "frost", "heat", "wet_days", "rain_harvest", "moisture", "combine_days", "drainage_winter",
          "rain_apr_jul", "rain")
DAY = datetime.timedelta(days=1)
FILL_DAYS = 42


def parameters(path):
    rows = re.findall(r"^\| `(\w+)` \| ([-+.\de]+) \|", open(path, encoding="utf-8").read(), re.M)
    return {name: float(value) for name, value in rows}


def vapour(t):
    return 0.6108 * np.exp(17.27 * t / (t + 237.3))


def season_weather(archive, cells, first, days, p):
    """Weather of one season: arrays [day][cell]. Hargreaves, radiation by the temperature range, vapour pressure of the night's low."""
    start = (first - archive["first"]).days
    rain, tmin, tmax = (archive[name][start:start + days, :cells] for name in ("rain", "tmin", "tmax"))
    phi = archive["latitude"][:cells] * np.pi / 180
    j = np.array([(first + i * DAY).timetuple().tm_yday for i in range(days)])[:, None]
    decl = 0.409 * np.sin(2 * np.pi * j / 365 - 1.39)
    ws = np.arccos(np.clip(-np.tan(phi) * np.tan(decl), -1, 1))
    beam = ws * np.sin(phi) * np.sin(decl) + np.cos(phi) * np.cos(decl) * np.sin(ws)
    ra = np.maximum(0, 24 * 60 / np.pi * 0.0820 * (1 + 0.033 * np.cos(2 * np.pi * j / 365)) * beam)
    low, high = tmin / 100, tmax / 100
    root = np.sqrt(np.maximum(high - low, 0))
    es_low = vapour(low)
    return {"rain": rain / 100, "low": low, "high": high, "warmth": (tmin + tmax).astype(float),
            "rs": np.minimum(p["radiation_krs"] * root * ra, (0.75 + 2e-5 * archive["elevation"][:cells]) * ra),
            "et0": np.maximum(0.0023 * ((low + high) / 2 + 17.8) * root * 0.408 * ra, 0),
            "humidity": 100 * np.minimum(es_low / ((es_low + vapour(high)) / 2), 1)}


class Units:
    """Soil columns of the first `n` cells."""

    def __init__(self, p, archive, n):
        s, c, group, depth = (archive[name][:n] for name in ("sand", "clay", "group", "root_depth"))
        om = 2.5
        t1 = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031
        self.wp = t1 + 0.14 * t1 - 0.02
        t2 = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299
        self.fc = t2 + 1.283 * t2 ** 2 - 0.374 * t2 - 0.015
        t3 = 0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078
        self.sat = self.fc + t3 + 0.636 * t3 - 0.107 - 0.097 * s + 0.043
        slope = (np.log(1500) - np.log(33)) / (np.log(self.fc) - np.log(self.wp))
        ks = 24 * 1930 * (self.sat - self.fc) ** (3 - 1 / slope)
        self.shallow = np.minimum(p["root_depth_min_m"], np.maximum(depth, p["evaporation_depth_m"]))
        self.full = np.maximum(np.minimum(depth, p["root_depth_max_m"]), self.shallow)
        self.ze = np.minimum(p["evaporation_depth_m"], self.shallow)
        self.tew = 1000 * (self.fc - 0.5 * self.wp) * self.ze
        rew = np.where(s > 0.8, 20 - 15 * s, np.where(c > 0.5, 11 - 6 * c, 8 + 8 * c))
        self.rew = np.minimum(rew, 0.8 * self.tew)
        curve = np.array([p["curve_number_" + letter] for letter in "abcd"])[group.astype(int)]
        self.s = 25400 / curve - 254
        self.kdrain = np.maximum(p["drainage_ks_share"] * ks, p["drainage_min_mm_day"])
        wet = np.where(s >= 0.7, p["sow_wetness_sand"], np.where(c > 0.3, p["sow_wetness_clay"], p["sow_wetness_loam"]))
        self.workable = wet * self.fc

    def at_field_capacity(self):
        return [1000 * self.fc * self.shallow, 1000 * self.fc * (self.full - self.shallow), self.shallow.copy(), np.zeros_like(self.fc)]

    def drain(self, water, depth):
        x = water - 1000 * self.fc * depth
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(x <= 0, 0, np.minimum(x, self.kdrain * x / (1000 * (self.sat - self.fc) * depth)))


class Season:
    """One season of every cell for every planned date: arrays (date, cell)."""

    def __init__(self, p, units, weather, year, plans, wait, state):
        self.p, self.u, self.w, self.year, self.wait = p, units, weather, year, wait
        self.start = datetime.date(year - 1, 9, 1)
        self.plan = np.array([(datetime.date(year, *plan) - self.start).days for plan in plans])[:, None]
        shape = (len(plans), units.fc.size)
        self.r, self.low, self.z, self.de = (np.broadcast_to(part, shape).copy() for part in state)
        self.rec = {name: np.zeros(shape) for name in FIELDS}
        for name in ("sown", "emerged", "stem", "heading", "ripe", "harvested"):
            self.rec[name] -= 1
        self.sowing = np.ones(shape)
        self.units, self.light, self.g = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        self.planned_units, self.planned_light = np.zeros(shape), np.zeros(shape)
        self.eta, self.etc = np.zeros((3,) + shape), np.zeros((3,) + shape)
        self.moisture = np.zeros(shape)
        self.workable_run, self.drilling = np.zeros(shape), np.zeros(shape)
        self.ts, self.warm = None, np.zeros(units.fc.size)
        self.depletion = []  # of the last days: (deficit over the readily available, what the day adds)

    def top(self):
        u, at_capacity = self.u, 1000 * self.u.fc * self.z
        return np.where(self.r <= at_capacity, self.r / (1000 * self.z),
                        np.minimum(u.fc + (self.r - at_capacity) / (1000 * u.shallow), u.sat))

    def sow(self, d, rain, mean):
        """Step 2; dates before the day before the first planned one cannot be sown on, nor do they count."""
        p, u, rec = self.p, self.u, self.rec
        if d < self.plan.min() - 1 or (rec["sown"] >= 0).all():
            return
        theta = u.fc - self.de / (1000 * u.ze) + np.maximum(self.top() - u.fc, 0)
        fit = (self.warm >= 3) & (rain < p["sow_rain_max_mm"]) & (mean > p["sow_frozen_c"]) & (theta <= u.workable + 1e-9)
        self.workable_run = np.where(fit, self.workable_run + 1, 0)
        free = rec["sown"] < 0
        self.drilling += free & (d >= self.plan) & fit & ((self.drilling > 0) | (self.workable_run >= 2))
        now = free & ((self.drilling >= 1) | (d == self.plan + self.wait))
        rec["sown"][now] = d
        self.sowing = np.where(now, np.where(fit, 1.0, 1 - p["sow_wet_loss_pct"] / 100), self.sowing)

    def cover_share(self, g):
        p = self.p
        return np.clip(np.minimum((g - p["emergence_cd"]) / (p["full_cover_cd"] - p["emergence_cd"]),
                                  (p["ripeness_cd"] - g) / (p["ripeness_cd"] - p["cover_decline_cd"])), 0, 1)

    def caught(self, c):
        return 1 - np.exp(-self.p["light_extinction"] * self.p["leaf_area_full"] * c)

    def develop(self, d, warmth, rs):
        """Step 3: the crop, and the one sown on the planned date."""
        p, rec = self.p, self.rec
        gain = np.maximum(warmth - 200 * p["base_temperature_c"], 0)
        runs = (rec["sown"] >= 0) & (rec["sown"] < d) & (rec["ripe"] < 0)
        if runs.any():
            self.units += np.where(runs, gain, 0)
            self.g = self.units / 200
            for name, at in (("emerged", "emergence_cd"), ("stem", "stem_extension_cd"), ("heading", "heading_cd"), ("ripe", "ripeness_cd")):
                rec[name][runs & (rec[name] < 0) & (self.g >= p[at])] = d
        planned = d > self.plan
        if planned.any():
            self.planned_units += np.where(planned, gain, 0)
            g = self.planned_units / 200
            light = (g >= p["emergence_cd"]) & (g < p["ripeness_cd"])
            if light.any():
                self.planned_light += np.where(light, rs * self.caught(self.cover_share(g)), 0)

    def canopy(self, growing, rs):
        """Step 4: Kcb, ground cover and root depth."""
        p, u, g = self.p, self.u, self.g
        ripe = (self.rec["ripe"] >= 0) & (self.rec["harvested"] < 0)
        kcb = np.where(ripe, p["kcb_end"], p["kcb_fallow"])
        cover, root = np.zeros_like(kcb), np.where(ripe, u.full, u.shallow)
        if growing.any():
            c = self.cover_share(g)
            early = g < p["cover_decline_cd"]
            k0 = np.where(early, p["kcb_initial"], p["kcb_end"])
            kcb_grown = k0 + (p["kcb_mid"] - k0) * c
            h = p["crop_height_m"] * np.where(early, c, 1)
            q = np.maximum((kcb_grown - p["kcb_initial"]) / (p["kc_max"] - p["kcb_initial"]), 0)
            kcb = np.where(growing, kcb_grown, kcb)
            cover = np.where(growing, np.minimum(q ** (1 + 0.5 * h), 0.99), 0)
            self.light += np.where(growing, rs * self.caught(c), 0)
            depth = u.shallow + (u.full - u.shallow) * np.clip((g - p["emergence_cd"]) / (p["heading_cd"] - p["emergence_cd"]), 0, 1)
            root = np.where(growing, depth, root)
        return kcb, cover, root

    def move_boundary(self, root):
        """Step 5."""
        full = self.u.full
        with np.errstate(invalid="ignore", divide="ignore"):
            down = np.where(root >= full, self.low, self.low * (root - self.z) / (full - self.z))
        moved = np.where(root > self.z, down, np.where(root < self.z, -self.r * (self.z - root) / self.z, 0))
        self.r += moved
        self.low -= moved
        self.z = root

    def balance(self, kcb, cover, rain, et0):
        """Steps 6 and 7; returns run-off, evaporation, transpiration, drainage, ETc."""
        p, u = self.p, self.u
        runoff = np.where(rain > 0.2 * u.s, (rain - 0.2 * u.s) ** 2 / (rain + 0.8 * u.s), 0)
        self.r += rain - runoff
        self.de = np.maximum(self.de - (rain - runoff), 0)
        few, kc_max = 1 - cover, np.maximum(p["kc_max"], kcb + 0.05)
        kr = np.clip((u.tew - self.de) / (u.tew - u.rew), 0, 1)
        ke = np.maximum(np.minimum(kr * (kc_max - kcb), few * kc_max), 0)
        share = np.clip(p["depletion_fraction"] + 0.04 * (5 - kcb * et0), 0.1, 0.8)
        taw, dr = 1000 * (u.fc - u.wp) * self.z, np.maximum(1000 * u.fc * self.z - self.r, 0)
        ks = np.clip((taw - dr) / ((1 - share) * taw), 0, 1)
        wilting = 1000 * u.wp * self.z
        e = np.minimum(np.minimum(ke * et0, few * (u.tew - self.de)), np.maximum(self.r - (wilting - 500 * u.wp * u.ze), 0))
        tr = np.minimum(ks * kcb * et0, np.maximum(self.r - e - wilting, 0))
        self.r -= e + tr
        self.de = np.minimum(self.de + e / few, u.tew)
        out, below = u.drain(self.r, self.z), u.full - self.z
        deep = below > 0
        dp = np.where(deep, u.drain(self.low, below), out)
        moved = np.minimum(out, np.maximum(1000 * u.sat * below - (self.low - dp), 0))
        self.low += np.where(deep, moved - dp, 0)
        self.r -= np.where(deep, moved, out)
        over = np.maximum(self.r - 1000 * u.sat * self.z, 0)
        self.r -= over
        return runoff + over, e, tr, dp, e + kcb * et0

    def grow(self, growing, e, tr, pot, high, low):
        """Step 8."""
        p, rec, g = self.p, self.rec, self.g
        phases = (growing & (g < p["stem_extension_cd"]), growing & (g >= p["stem_extension_cd"]) & (g < p["heading_cd"]),
                  growing & (g >= p["heading_cd"]))
        for k, phase in enumerate(phases):
            self.eta[k] += np.where(phase, e + tr, 0)
            self.etc[k] += np.where(phase, pot, 0)
        rec["waterlogged"] += (phases[0] | phases[1]) & (self.u.sat - self.top() < p["waterlogged_air_frac"])
        rec["heat"] += np.where(phases[2], np.maximum(high - p["heat_threshold_c"], 0), 0)
        rec["frost"] += growing & (np.abs(g - p["heading_cd"]) <= p["frost_window_cd"]) & (low <= p["frost_threshold_c"])

    def fill(self, d, net):
        """Step 9."""
        p, u = self.p, self.u
        over = np.maximum(np.maximum(1000 * u.fc * self.z - self.r, 0) - p["depletion_fraction"] * 1000 * (u.fc - u.wp) * self.z, 0)
        self.depletion.append((over, net))
        del self.depletion[:-FILL_DAYS - 1]
        now = self.rec["ripe"] == d
        if now.any():
            deficit = self.depletion[0][0][now]
            most = np.zeros_like(deficit)
            for _, added in self.depletion[1:]:
                deficit = np.maximum(deficit + added[now], 0)
                most = np.maximum(most, deficit)
            self.rec["deficit_fill"][now] = most
            self.moisture[now] = p["grain_moisture_ripe_pct"]

    def harvest(self, d, rain, before, mean, humidity, et0):
        """Step 10."""
        p, rec = self.p, self.rec
        after = (rec["ripe"] >= 0) & (rec["ripe"] < d)
        if not after.any():
            return
        wetted = np.maximum(self.moisture, np.minimum(self.moisture + p["grain_rewet_pct_per_mm"] * rain, p["grain_rewet_max_pct"]))
        dry_basis = 0.33363 - 0.050279 * np.log(-(mean + 91.323) * np.log(np.clip(humidity, 10, 95) / 100))
        settled = 100 * dry_basis / (1 + dry_basis)
        self.moisture = np.where(after, settled + (wetted - settled) * np.exp(-p["grain_drying_per_mm"] * et0), self.moisture)
        fit = (after & (rain < p["combine_rain_max_mm"]) & (before < p["combine_rain_before_max_mm"])
               & (humidity < p["combine_humidity_max_pct"]) & (self.moisture <= p["combine_moisture_max_pct"]))
        last = rec["ripe"] + p["combine_window_days"]
        rec["combine_days"] += fit & (d <= last)
        standing = after & (rec["harvested"] < 0)
        now = standing & (fit | (d >= last))
        rec["harvested"][now] = d
        rec["moisture"] = np.where(now, self.moisture, rec["moisture"])
        waiting = standing & ~now
        rec["rain_harvest"] += np.where(waiting, rain, 0)
        rec["wet_days"] += waiting & (rain >= p["wet_day_mm"])

    def day(self, d):
        p, w, rec = self.p, self.w, self.rec
        rain, et0, warmth, rs = w["rain"][d], w["et0"][d], w["warmth"][d], w["rs"][d]
        mean = warmth / 200
        self.ts = mean if d == 0 else self.ts + p["soil_temperature_weight"] * (mean - self.ts)
        self.warm = np.where(self.ts >= p["sow_soil_temperature_c"], self.warm + 1, 0)
        self.sow(d, rain, mean)
        self.develop(d, warmth, rs)
        growing = (rec["emerged"] >= 0) & (rec["ripe"] < 0)
        kcb, cover, root = self.canopy(growing, rs)
        self.move_boundary(root)
        runoff, e, tr, dp, pot = self.balance(kcb, cover, rain, et0)
        if growing.any():
            self.grow(growing, e, tr, pot, w["high"][d], w["low"][d])
        self.fill(d, et0 - (rain - runoff))
        self.harvest(d, rain, w["rain"][d - 1] if d > 0 else 0.0, mean, w["humidity"][d], et0)
        # Step 11, without the sums that are only checks of the model.
        rec["rain"] += rain
        date = self.start + d * DAY
        if d >= 30 and date <= datetime.date(self.year, 3, 31):
            rec["drainage_winter"] += dp
        elif datetime.date(self.year, 3, 31) < date <= datetime.date(self.year, 7, 31):
            rec["rain_apr_jul"] += rain

    def run(self, days):
        """Runs so many days; returns the state at the end of 31 August."""
        carry = (datetime.date(self.year, 8, 31) - self.start).days
        state = None
        for d in range(days):
            self.day(d)
            if d == carry:
                state = [part[0].copy() for part in (self.r, self.low, self.z, self.de)]
        return state

    def finish(self):
        p, rec = self.p, self.rec
        water = np.ones_like(self.light)
        with np.errstate(invalid="ignore", divide="ignore"):
            for ky, a, t in zip(("ky_to_stem_extension", "ky_to_heading", "ky_grain_fill"), self.eta, self.etc):
                water *= np.where(t > 0, np.clip(1 - p[ky] * (1 - a / t), 0, 1), 1)
        rec["duration"] = 0.5 * self.light / p["light_reference_mj_m2"]
        rec["duration_planned"] = 0.5 * self.planned_light / p["light_reference_mj_m2"]
        rec["water_factor"] = water

        def kept(loss, count, most):
            return 1 - np.minimum(p[loss] / 100 * count, p[most] / 100)

        rec["relative_yield"] = (rec["duration"] * self.sowing * water * kept("waterlogging_loss_pct_day", rec["waterlogged"], "waterlogging_loss_max_pct")
                                 * kept("frost_loss_pct_night", rec["frost"], "frost_loss_max_pct")
                                 * np.maximum(1 - p["heat_loss_pct_degree_day"] / 100 * rec["heat"], 0)
                                 * np.where(rec["harvested"] >= 0, kept("harvest_loss_pct_wet_day", rec["wet_days"], "harvest_loss_max_pct"), 0))
        return rec


def run(p, archive, years, cells, plans):
    """Records of every harvest year: a list of dicts of arrays (date, cell). The land's own crop gives each season its beginning."""
    units, wait = Units(p, archive, cells), p["sow_wait_days"]
    own = datetime.date(2000 + 1, 9, 1) + p["sowing_flat_days"] * DAY
    own = (own.month, own.day)
    state, records = units.at_field_capacity(), []
    for i in range(years):
        year = archive["first_year"] + i
        first, last = datetime.date(year - 1, 9, 1), datetime.date(year, 10, 31)
        days, to_carry = (last - first).days + 1, (datetime.date(year, 8, 31) - first).days + 1
        weather = season_weather(archive, cells, first, days, p)
        if i == 0:
            state = Season(p, units, weather, year, [own], wait, state).run(to_carry)
        season = Season(p, units, weather, year, plans, wait, state)
        season.run(days)
        records.append(season.finish())
        if i + 1 < years:
            state = Season(p, units, weather, year, [own], wait, state).run(to_carry)
    return records


def read_case(folder):
    cells, days, first = open(folder + "/case.txt", encoding="utf-8").read().split()
    cells, days = int(cells), int(days)
    archive = {name: np.fromfile(f"{folder}/{name}.i4", np.int32).reshape(days, cells) for name in ("rain", "tmin", "tmax")}
    table = np.fromfile(folder + "/cells.f8").reshape(-1, cells)
    archive.update(zip(("latitude", "sand", "clay", "group", "root_depth", "elevation"), table))
    archive["first"] = datetime.date.fromisoformat(first)
    archive["first_year"] = archive["first"].year + (archive["first"] <= datetime.date(archive["first"].year, 9, 1))
    return archive


def main():
    folder, methods = sys.argv[1:]
    p, archive = parameters(methods), read_case(folder)
    if p["day_length_sensitivity"] != 0:
        raise SystemExit("crop_numpy: the day-length factor is on by default now; write it here too")
    for line in sys.stdin:
        words = line.split()
        path = words[1] if words[0] == "records" else None
        if path:
            words = words[2:]
        plans = [tuple(map(int, word.split("-"))) for word in words[2:]]
        begin = time.process_time()
        records = run(p, archive, int(words[0]), int(words[1]), plans)
        seconds = time.process_time() - begin
        if path:
            np.array([[record[name] for record in records] for name in FIELDS]).swapaxes(1, 2).tofile(path)
        print(repr(seconds), flush=True)


if __name__ == "__main__":
    main()
