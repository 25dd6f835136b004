"""Validates plan documents against io/plan_schema.json and shows that the schema is strict.

usage: output_schema.py SCHEMA PLAN...
Every plan must be valid. Then, at every kind of place in the first plan: one extra key, one missing key, one wrong type,
each alone, must be refused. Exit 1 names what went wrong.
"""
import copy
import json
import sys

import jsonschema

# The only keys that a plan may leave out: without regions, and what the contract command alone answers.
OPTIONAL = {("map",), ("backtest",), ("contracts", "[]", "one_more"), ("cost", "value_of_stochastic_solution"), ("cost", "value_of_perfect_information")} | {
    (block,) for block in ("frontier", "stability", "waiting", "insurance", "limit_ladder", "price_forms", "lots", "hectares_needed")}
FREE_KEYS = {("cover", "first_unmet_month")}  # its months come and go; "never" stays


def places(node, path=(), kind=()):
    """(path, kind, node) of every node; kind has no list positions, so that like places are tried once."""
    yield path, kind, node
    if isinstance(node, dict):
        for key, child in node.items():
            yield from places(child, path + (key,), kind + (key,))
    elif isinstance(node, list):
        for i, child in enumerate(node):
            yield from places(child, path + (i,), kind + ("[]",))


def at(document, path):
    for step in path:
        document = document[step]
    return document


def wrong_type(value):
    if isinstance(value, str):
        return 7
    if isinstance(value, (dict, list)):
        return "text"
    return {"not": "a value"}  # number, boolean or null


def mutations(plan):
    seen = set()
    for path, kind, node in places(plan):
        if "coordinates" in kind:
            continue  # GeoJSON: tried by hand below
        if kind in seen:
            continue
        seen.add(kind)
        if path:
            changed = copy.deepcopy(plan)
            at(changed, path[:-1])[path[-1]] = wrong_type(node)
            yield f"wrong type at {path}", changed
        if isinstance(node, dict):
            changed = copy.deepcopy(plan)
            at(changed, path)["extra"] = 1
            yield f"extra key at {path}", changed
            for key in node:
                if kind + (key,) in OPTIONAL or (kind in FREE_KEYS and key != "never"):
                    continue
                changed = copy.deepcopy(plan)
                del at(changed, path)[key]
                yield f"without {path + (key,)}", changed


def by_hand(plan):
    def changed(change):
        copied = copy.deepcopy(plan)
        change(copied)
        return copied

    yield "a month 13", changed(lambda p: p["months"][0].update(month="2027-13"))
    yield "a date with slashes", changed(lambda p: p["season"].update(as_of="2027/03/01"))
    yield "a share over 1", changed(lambda p: p["cover"].update(chance_covered=1.5))
    yield "negative tonnes", changed(lambda p: p["supply"]["qualifying_t"].update(mean=-1))
    yield "an unknown kind of year", changed(lambda p: p["years"][0].update(kind="rainy"))
    yield "a month key that is none", changed(lambda p: p["cover"]["first_unmet_month"].update({"2027-3": 0.1}))
    yield "an interval of three", changed(lambda p: p["supply"]["sampling"]["p10"].append(1))
    if not plan.get("map") or not plan["inputs"]:
        return
    yield "a short hash", changed(lambda p: p["inputs"][0].update(sha256="abc"))
    yield "an open ring", changed(lambda p: p["map"]["regions"]["features"][0]["geometry"].update(coordinates=[[[0, 0]]]))
    yield "a point for an outline", changed(lambda p: p["map"]["regions"]["features"][0].update(geometry={"type": "Point", "coordinates": [0, 0]}))


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    plans = []
    failed = 0
    for path in sys.argv[2:]:
        with open(path, encoding="utf-8") as file:
            plans.append(json.load(file, parse_constant=lambda word: sys.exit(f"{path} holds {word}")))
        for problem in validator.iter_errors(plans[-1]):
            print(f"{path}: {problem.json_path}: {problem.message[:200]}")
            failed += 1
    tried = 0
    for words, changed in list(mutations(plans[0])) + list(by_hand(plans[0])):
        tried += 1
        if validator.is_valid(changed):
            print("not refused:", words)
            failed += 1
    print(f"{len(plans)} plans, {tried} changed copies, {failed} failures")
    sys.exit(1 if failed or tried < 200 else 0)


main()
