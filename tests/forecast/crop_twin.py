"""A slow, plain twin of the daily crop, written from the methods text alone; its defaults are read from the text's own tables.

Usage: crop_twin.py WEATHER.csv METHODS.md LATITUDE SAND CLAY GROUP PLANNED(MM-DD) WAIT FACTOR DRILLED_AFTER SOWN_ON(MM-DD or -)
WEATHER.csv: date,rain,tmin,tmax as whole numbers (0.01 mm, 0.01 C). Prints one line of figures for each harvest year.
"""
import csv
import datetime
import math
import re
import sys

DAY = datetime.timedelta(days=1)


def parameters(path):
    rows = re.findall(r"^\| `(\w+)` \| ([-+.\de]+) \|", open(path, encoding="utf-8").read(), re.M)
    return {name: float(value) for name, value in rows}


def clamp(x, low, high):
    return min(max(x, low), high)


def e0(t):
    return 0.6108 * math.exp(17.27 * t / (t + 237.3))


class Weather:
    """Days of one cell with ET0 by Hargreaves, radiation by the temperature range."""

    def __init__(self, path, latitude, krs):
        self.days = {}
        phi = latitude * math.pi / 180
        for date, rain, tmin, tmax in csv.reader(open(path, encoding="utf-8")):
            date = datetime.date.fromisoformat(date)
            j = date.timetuple().tm_yday
            tmin, tmax = int(tmin), int(tmax)
            decl = 0.409 * math.sin(2 * math.pi * j / 365 - 1.39)
            ws = math.acos(clamp(-math.tan(phi) * math.tan(decl), -1, 1))
            beam = ws * math.sin(phi) * math.sin(decl) + math.cos(phi) * math.cos(decl) * math.sin(ws)
            ra = max(0, 24 * 60 / math.pi * 0.0820 * (1 + 0.033 * math.cos(2 * math.pi * j / 365)) * beam)
            low, high = tmin / 100, tmax / 100
            root = math.sqrt(max(high - low, 0))
            self.days[date] = {
                "rain": int(rain) / 100, "low": low, "high": high, "warmth": tmin + tmax,
                "rs": min(krs * root * ra, (0.75 + 2e-5 * 50) * ra),
                "et0": max(0.0023 * ((low + high) / 2 + 17.8) * root * 0.408 * ra, 0)}


def saxton_rawls(s, c, om=2.5):
    t1 = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031
    wp = t1 + 0.14 * t1 - 0.02
    t2 = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299
    fc = t2 + 1.283 * t2 ** 2 - 0.374 * t2 - 0.015
    t3 = 0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078
    sat = fc + t3 + 0.636 * t3 - 0.107 - 0.097 * s + 0.043
    b = (math.log(1500) - math.log(33)) / (math.log(fc) - math.log(wp))
    return wp, fc, sat, 24 * 1930 * (sat - fc) ** (3 - 1 / b)


class Unit:
    def __init__(self, p, sand, clay, group):
        self.p = p
        self.wp, self.fc, self.sat, ks = saxton_rawls(sand, clay)
        self.shallow, self.full, self.ze = p["root_depth_min_m"], p["root_depth_max_m"], p["evaporation_depth_m"]
        self.tew = 1000 * (self.fc - 0.5 * self.wp) * self.ze
        rew = 20 - 15 * sand if sand > 0.8 else 11 - 6 * clay if clay > 0.5 else 8 + 8 * clay
        self.rew = min(rew, 0.8 * self.tew)
        self.s = 25400 / p["curve_number_" + "abcd"[group]] - 254
        self.kdrain = max(p["drainage_ks_share"] * ks, p["drainage_min_mm_day"])
        kind = "sand" if sand >= 0.7 else "clay" if clay > 0.3 else "loam"
        self.workable = p["sow_wetness_" + kind] * self.fc
        self.state = self.at_field_capacity()

    def at_field_capacity(self):
        return [1000 * self.fc * self.shallow, 1000 * self.fc * (self.full - self.shallow), self.shallow, 0.0]

    def top(self, r, z):
        if r <= 1000 * self.fc * z:
            return r / (1000 * z)
        return min(self.fc + (r - 1000 * self.fc * z) / (1000 * self.shallow), self.sat)

    def drain(self, w, depth):
        x = w - 1000 * self.fc * depth
        return 0 if x <= 0 else min(x, self.kdrain * x / (1000 * (self.sat - self.fc) * depth))


def in_year(month_day, year):
    return datetime.date(year, *month_day)


def season(u, weather, year, planned, wait, factor, drilled_after, sown_on):
    """One season of one unit; returns the record and the state at the end of 31 August."""
    p, w = u.p, weather.days
    start, end = datetime.date(year - 1, 9, 1), datetime.date(year, 10, 31)
    plan_day = (in_year(planned, year) - start).days
    known_day = (in_year(sown_on, year) - start).days if sown_on else -1
    autumn, winter_end = 30, (datetime.date(year, 3, 31) - start).days
    r, low, z, de = u.state
    first_water = r + low
    rec = dict(sown=-1, emerged=-1, stem=-1, heading=-1, ripe=-1, harvested=-1, sowing=1.0, heat=0.0, frost=0, waterlogged=0, rain=0.0, et=0.0, ro=0.0,
               dp=0.0, winter=0.0, oct1=0.0, regained=-1, wet=0, rain_harvest=0.0, fill=0.0, combine=0, moisture=0.0)
    warm = workable_run = drilling = 0
    moist = planned_units = planned_light = 0.0
    ts = g = units = light = 0.0
    eta, etc = [0.0] * 3, [0.0] * 3
    depletion, carried = [], None
    em, st, he, ri = p["emergence_cd"], p["stem_extension_cd"], p["heading_cd"], p["ripeness_cd"]
    day = start
    while day <= end:
        d, x = (day - start).days, w[day]
        mean = x["warmth"] / 200
        ts = mean if d == 0 else ts + p["soil_temperature_weight"] * (mean - ts)
        if rec["sown"] < 0:
            warm = warm + 1 if ts >= p["sow_soil_temperature_c"] else 0
            theta = u.fc - de / (1000 * u.ze) + max(u.top(r, z) - u.fc, 0)
            fit = warm >= 3 and x["rain"] < p["sow_rain_max_mm"] and mean > p["sow_frozen_c"] and theta <= u.workable + 1e-9
            workable_run = workable_run + 1 if fit else 0
            if d >= plan_day and fit and (drilling > 0 or workable_run >= 2):
                drilling += 1
            if (d == known_day) if sown_on else (drilling >= drilled_after or d == plan_day + wait):
                rec["sown"], rec["sowing"] = d, 1.0 if fit else 1 - p["sow_wet_loss_pct"] / 100
        elif rec["ripe"] < 0:
            units += max(x["warmth"] - 200 * p["base_temperature_c"], 0)
            g = units / (200 * factor)
            for name, at in (("emerged", em), ("stem", st), ("heading", he), ("ripe", ri)):
                if rec[name] < 0 and g >= at:
                    rec[name] = d
        if d > plan_day:  # the crop sown on the planned date: development and light alone
            planned_units += max(x["warmth"] - 200 * p["base_temperature_c"], 0)
            pg = planned_units / (200 * factor)
            if em <= pg < ri:
                pc = clamp(min((pg - em) / (p["full_cover_cd"] - em), (ri - pg) / (ri - p["cover_decline_cd"])), 0, 1)
                planned_light += x["rs"] * (1 - math.exp(-p["light_extinction"] * p["leaf_area_full"] * pc))
        growing = em <= g < ri
        kcb, cover, root = p["kcb_fallow"], 0.0, u.shallow
        if growing:
            c = clamp(min((g - em) / (p["full_cover_cd"] - em), (ri - g) / (ri - p["cover_decline_cd"])), 0, 1)
            early = g < p["cover_decline_cd"]
            k0 = p["kcb_initial"] if early else p["kcb_end"]
            kcb = k0 + (p["kcb_mid"] - k0) * c
            h = p["crop_height_m"] * (c if early else 1)
            q = (kcb - p["kcb_initial"]) / (p["kc_max"] - p["kcb_initial"])
            cover = 0 if q <= 0 else min(q ** (1 + 0.5 * h), 0.99)
            light += x["rs"] * (1 - math.exp(-p["light_extinction"] * p["leaf_area_full"] * c))
            root = u.shallow + (u.full - u.shallow) * clamp((g - em) / (he - em), 0, 1)
        elif rec["ripe"] >= 0 and rec["harvested"] < 0:
            kcb, root = p["kcb_end"], u.full
        if root > z:
            moved = low if root >= u.full else low * (root - z) / (u.full - z)
            r, low = r + moved, low - moved
        elif root < z:
            moved = r * (z - root) / z
            r, low = r - moved, low + moved
        z = root
        ro = (x["rain"] - 0.2 * u.s) ** 2 / (x["rain"] + 0.8 * u.s) if x["rain"] > 0.2 * u.s else 0
        r, de = r + x["rain"] - ro, max(de - (x["rain"] - ro), 0)
        few, kcmax = 1 - cover, max(p["kc_max"], kcb + 0.05)
        kr = clamp((u.tew - de) / (u.tew - u.rew), 0, 1)
        ke = max(min(kr * (kcmax - kcb), few * kcmax), 0)
        frac = clamp(p["depletion_fraction"] + 0.04 * (5 - kcb * x["et0"]), 0.1, 0.8)
        taw, dr = 1000 * (u.fc - u.wp) * z, max(1000 * u.fc * z - r, 0)
        ks = clamp((taw - dr) / ((1 - frac) * taw), 0, 1)
        e = min(ke * x["et0"], few * (u.tew - de), max(r - (1000 * u.wp * z - 500 * u.wp * u.ze), 0))
        tr = min(ks * kcb * x["et0"], max(r - e - 1000 * u.wp * z, 0))
        pot = e + kcb * x["et0"]
        r, de = r - e - tr, min(de + e / few, u.tew)
        out = u.drain(r, z)
        if u.full - z > 0:
            dp = u.drain(low, u.full - z)
            low -= dp
            m = min(out, max(1000 * u.sat * (u.full - z) - low, 0))
            r, low = r - m, low + m
        else:
            dp, r = out, r - out
        over = max(r - 1000 * u.sat * z, 0)
        r, ro = r - over, ro + over
        if growing:
            k = 0 if g < st else 1 if g < he else 2
            eta[k], etc[k] = eta[k] + e + tr, etc[k] + pot
            if k < 2 and u.sat - u.top(r, z) < p["waterlogged_air_frac"]:
                rec["waterlogged"] += 1
            if k == 2:
                rec["heat"] += max(x["high"] - p["heat_threshold_c"], 0)
            if abs(g - he) <= p["frost_window_cd"] and x["low"] <= p["frost_threshold_c"]:
                rec["frost"] += 1
        depletion.append((max(max(1000 * u.fc * z - r, 0) - p["depletion_fraction"] * 1000 * (u.fc - u.wp) * z, 0), x["et0"] - (x["rain"] - ro)))
        if d == rec["ripe"]:
            moist = p["grain_moisture_ripe_pct"]
            rec["fill"], deficit = 0, depletion[-43][0]
            for _, net in depletion[-42:]:
                deficit = max(deficit + net, 0)
                rec["fill"] = max(rec["fill"], deficit)
        if 0 <= rec["ripe"] < d:
            before = w[day - DAY]["rain"] if d > 0 else 0
            humidity = 100 * min(e0(x["low"]) / ((e0(x["low"]) + e0(x["high"])) / 2), 1)
            wetted = max(moist, min(moist + p["grain_rewet_pct_per_mm"] * x["rain"], p["grain_rewet_max_pct"]))
            dry_basis = 0.33363 - 0.050279 * math.log(-(mean + 91.323) * math.log(clamp(humidity, 10, 95) / 100))
            settled = 100 * dry_basis / (1 + dry_basis)
            moist = settled + (wetted - settled) * math.exp(-p["grain_drying_per_mm"] * x["et0"])
            fit = (x["rain"] < p["combine_rain_max_mm"] and before < p["combine_rain_before_max_mm"] and humidity < p["combine_humidity_max_pct"]
                   and moist <= p["combine_moisture_max_pct"])
            if fit and d <= rec["ripe"] + p["combine_window_days"]:
                rec["combine"] += 1
            if rec["harvested"] < 0 and (fit or d >= rec["ripe"] + p["combine_window_days"]):
                rec["harvested"], rec["moisture"] = d, moist
            elif rec["harvested"] < 0:
                rec["rain_harvest"] += x["rain"]
                rec["wet"] += x["rain"] >= p["wet_day_mm"]
        rec["rain"], rec["et"], rec["ro"], rec["dp"] = rec["rain"] + x["rain"], rec["et"] + e + tr, rec["ro"] + ro, rec["dp"] + dp
        if d >= autumn:
            deficit = max(1000 * u.fc * u.full - (r + low), 0)
            if d == autumn:
                rec["oct1"] = deficit
            if rec["regained"] < 0 and deficit <= p["field_capacity_slack_mm"]:
                rec["regained"] = d
            if d <= winter_end:
                rec["winter"] += dp
        if day == datetime.date(year, 8, 31):
            carried = [r, low, z, de]
        day += DAY
    water = 1.0
    for ky, a, t in zip(("ky_to_stem_extension", "ky_to_heading", "ky_grain_fill"), eta, etc):
        water *= clamp(1 - p[ky] * (1 - a / t), 0, 1) if t > 0 else 1
    rec["duration"] = 0.5 * light / p["light_reference_mj_m2"]
    rec["duration_planned"] = 0.5 * planned_light / p["light_reference_mj_m2"]
    rec["water"] = water
    lost = lambda loss, count, most: 1 - min(p[loss] / 100 * count, p[most] / 100)
    harvest = lost("harvest_loss_pct_wet_day", rec["wet"], "harvest_loss_max_pct") if rec["harvested"] >= 0 else 0
    rec["yield"] = (rec["duration"] * rec["sowing"] * water * lost("waterlogging_loss_pct_day", rec["waterlogged"], "waterlogging_loss_max_pct")
                    * max(1 - p["heat_loss_pct_degree_day"] / 100 * rec["heat"], 0) * lost("frost_loss_pct_night", rec["frost"], "frost_loss_max_pct") * harvest)
    rec["change"] = r + low - first_water
    return rec, carried


def main():
    weather_path, methods, latitude, sand, clay, group, planned, wait, factor, drilled_after, sown_on = sys.argv[1:]
    p = parameters(methods)
    weather = Weather(weather_path, float(latitude), p["radiation_krs"])
    unit = Unit(p, float(sand), float(clay), int(group))
    first, last = min(weather.days), max(weather.days)
    years = [y for y in range(first.year, last.year + 1) if datetime.date(y - 1, 9, 1) >= first and datetime.date(y, 10, 31) <= last]
    args = (tuple(map(int, planned.split("-"))), int(wait), float(factor), int(drilled_after),
            None if sown_on == "-" else tuple(map(int, sown_on.split("-"))))
    flat = datetime.date(2000, 9, 1) + int(p["sowing_flat_days"]) * DAY  # the land's own crop leaves the water of the next season
    own = ((flat.month, flat.day), int(p["sow_wait_days"]), 1.0, 1, None)
    _, unit.state = season(unit, weather, years[0], *own)
    for year in years:
        rec, _ = season(unit, weather, year, *args)
        _, unit.state = season(unit, weather, year, *own)
        names = ("sown", "emerged", "stem", "heading", "ripe", "harvested", "waterlogged", "frost", "wet", "regained", "yield", "duration", "water", "fill", "heat",
                 "winter", "oct1", "rain", "et", "ro", "dp", "change", "rain_harvest", "combine", "moisture", "duration_planned")
        print(year, *(repr(float(rec[name])) for name in names))


main()
