"""Scores of past forecasts in NumPy, written from METHODS.md alone ("Conventions", "Hindcast"); the judge of planner/hindcast/season_scores.

usage: scores_reference.py CASES.json; prints one JSON object for each series.
"""
import json
import math
import sys

import numpy as np

MASK = 0xFFFFFFFF


def philox(counter, key):
    """First output word of Philox4x32-10 (Salmon et al. 2011)."""
    c0, c1, c2, c3 = counter
    k0, k1 = key
    for _ in range(10):
        p0, p1 = 0xD2511F53 * c0, 0xCD9E8D57 * c2
        c0, c1, c2, c3 = (p1 >> 32) ^ c1 ^ k0, p1 & MASK, (p0 >> 32) ^ c3 ^ k1, p0 & MASK
        k0, k1 = (k0 + 0x9E3779B9) & MASK, (k1 + 0xBB67AE85) & MASK
    return c0


def crps(x, w, y):
    x, w = np.asarray(x, float), np.asarray(w, float)
    w = w / w.sum()
    return float(np.sum(w * np.abs(x - y)) - 0.5 * np.sum(np.outer(w, w) * np.abs(np.subtract.outer(x, x))))


def quantile(x, w, p):
    """Weighted type 7, as METHODS.md states it."""
    pairs = sorted((a, b) for a, b in zip(x, w) if b > 0)
    x, w = np.array([a for a, _ in pairs]), np.array([b for _, b in pairs])
    n = w.sum() ** 2 / np.sum(w ** 2)
    a = p * (n - 1) / n
    b = a + 1 / n
    c = np.concatenate([[0], np.cumsum(w) / w.sum()])
    c[-1] = 1
    f = np.clip((c - a) / (b - a), 0, 1)
    return float(np.clip(np.sum(x * np.diff(f)), x[0], x[-1]))


def band(n):
    p = [math.comb(n, k) * 0.8 ** k * 0.2 ** (n - k) for k in range(n + 1)]
    order = sorted(range(n + 1), key=lambda k: -p[k])
    best = (order[0], order[0])
    total = held = p[order[0]]
    for k in order[1:]:
        held += p[k]
        if abs(held - 0.99) >= abs(total - 0.99):
            break
        total, best = held, (min(best[0], k), max(best[1], k))
    return best


def mean_of_five(record, year, without=None):
    rest = [(y, v) for y, v in record if y not in (year, without)]
    before = sorted((r for r in rest if r[0] < year), reverse=True)
    after = sorted(r for r in rest if r[0] > year)
    chosen = (before + after)[:5]
    return sum(v for _, v in chosen) / len(chosen) if chosen else None


def rivals(record, year):
    others = [(y, v) for y, v in record if y != year]
    if len(others) < 2:
        return None
    m = mean_of_five(record, year)
    return [v for _, v in others], m, [m * v / mean_of_five(record, j, year) for j, v in others]


def series(s):
    n = len(s["seasons"])
    out = {"n": n, "hits": 0, "ranks": [0] * 10}
    errors, scores, climatology, five = [], [], [], []
    error_climatology, error_five, here = [], [], []
    for one in s["seasons"]:
        x, w, y = one["members"], one["weights"], one["came"]
        deciles = [quantile(x, w, i / 10) for i in range(1, 10)]
        out["hits"] += deciles[0] <= y <= deciles[8]
        out["ranks"][sum(d < y for d in deciles)] += 1
        errors.append(np.average(x, weights=w) - y)
        scores.append(crps(x, w, y))
        r = rivals(s["record"], one["year"])
        if r is None:
            continue
        here.append(scores[-1])
        climatology.append(crps(r[0], np.ones(len(r[0])), y))
        five.append(crps(r[2], np.ones(len(r[2])), y))
        error_climatology.append(np.mean(r[0]) - y)
        error_five.append(r[1] - y)
    low, high = band(n)
    out |= {"low": low, "high": high, "bias": float(np.mean(errors)), "rmse": float(np.sqrt(np.mean(np.square(errors)))), "crps": float(np.mean(scores)),
            "rmse_climatology": float(np.sqrt(np.mean(np.square(error_climatology)))), "rmse_five": float(np.sqrt(np.mean(np.square(error_five)))),
            "crps_climatology": float(np.mean(climatology)), "crps_five": float(np.mean(five)),
            "skill_climatology": 1 - sum(here) / sum(climatology), "skill_five": 1 - sum(here) / sum(five)}
    gains = np.subtract(here, five)
    means = []
    for b in range(s["replicates"]):
        u = [(philox((s["place"], b, i, 1), (s["seed"], 4)) + 0.5) / 2 ** 32 for i in range(len(gains))]
        means.append(np.mean([gains[int(v * len(gains))] for v in u]))
    out |= {"gain": float(np.mean(gains)), "gain_low": float(np.quantile(means, (1 - s["level"]) / 2)), "gain_high": float(np.quantile(means, 1 - (1 - s["level"]) / 2))}
    if n < 5 or len(gains) < 5:
        out["verdict"] = "too few"
    elif not out["gain_high"] < 0:
        out["verdict"] = "no better than a five-year mean"
    elif out["hits"] < low:
        out["verdict"] = "ranges too narrow"
    elif out["hits"] > high:
        out["verdict"] = "ranges too wide"
    else:
        out["verdict"] = "good"
    return out


print(json.dumps([series(s) for s in json.load(open(sys.argv[1], encoding="utf-8"))]))
