"""What is kept between runs: a second plan grows nothing and says the same; only what changed is grown again; damage is noticed."""
import json
import pathlib
import shutil
import subprocess

import support
from sowing import add_rasters, make_season


class Kept:
    """One cache folder and the plans that use it."""

    def __init__(self, rickyard, season, cache):
        self.rickyard, self.season, self.cache = rickyard, season, cache

    def plan(self, *args):
        document, folder = support.plan(self.rickyard, self.season, "--cache", self.cache, *args)
        return document, (folder / "plan.json").read_bytes(), json.loads((folder / "manifest.json").read_text())

    def entries(self, kind):
        return {path.name for path in self.cache.glob(f"{kind}-*.cache")}

    def crops(self):
        return self.entries("crop")


def numbers(value, path=""):
    if isinstance(value, dict):
        for key, part in value.items():
            yield from numbers(part, f"{path}/{key}")
    elif isinstance(value, list):
        for i, part in enumerate(value):
            yield from numbers(part, f"{path}/{i}")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path, value


def check_second_plan(check, kept):
    first, first_bytes, manifest = kept.plan()
    check.equal(manifest["rickyard"]["kernel"], "fast", "the manifest names the kernel")
    crops = kept.crops()
    check.true(len(crops) >= 3, f"each part of drilling is kept: {len(crops)} entries")
    check.true(kept.entries("weather") or kept.entries("geography"), "weather and land are kept")
    check.true(manifest["crop_chunks"]["grown"] >= 3 and manifest["crop_chunks"]["kept"] >= 0, f"the manifest counts: {manifest['crop_chunks']}")
    _, again, manifest = kept.plan("--threads", "1")
    check.equal(manifest["crop_chunks"]["grown"], 0, "a second plan grows nothing")
    check.equal(again, first_bytes, "a second plan from what was kept, on one thread: the same bytes")
    check.equal(kept.crops(), crops, "and nothing was grown for it")
    done = support.plan(kept.rickyard, kept.season, "--no-cache")
    check.equal((done[1] / "plan.json").read_bytes(), first_bytes, "the same bytes with nothing kept")
    small, _, _ = kept.plan("--memory", "64K")
    check.equal(json.dumps(small), json.dumps(first), "a small bound of memory changes nothing")
    return first, first_bytes


def check_exact(check, kept, fast):
    exact, folder = support.plan(kept.rickyard, kept.season, "--no-cache", "--kernel", "exact")
    check.equal(json.loads((folder / "manifest.json").read_text())["rickyard"]["kernel"], "exact", "the manifest names the exact kernel")
    ours, theirs = dict(numbers(fast)), dict(numbers(exact))
    check.equal(ours.keys(), theirs.keys(), "both kernels fill the same document")
    worst = max(abs(a - theirs[path]) / max(1, abs(a)) for path, a in ours.items())
    check.true(worst < 1e-4, f"the exact kernel plans the same: largest difference {worst:.1e}")


def check_only_what_changed(check, kept, before):
    tables = {name: (kept.season / name).read_text() for name in ("contracts.csv", "backups.csv", "demand.csv")}
    crops = kept.crops()

    def hectares(rows):
        rows[0]["planted_ha"] = "430"

    def price(rows):
        rows[0]["price_per_t"] = "251"

    def litres(rows):
        rows[0]["spirit_lpa"] = "1300000"

    for table, change in (("contracts.csv", hectares), ("backups.csv", price), ("demand.csv", litres)):
        support.edit_csv(kept.season / table, change)
        changed, _, _ = kept.plan()
        check.true(json.dumps(changed) != json.dumps(before), f"another figure in {table} makes another plan")
        check.equal(kept.crops(), crops, f"another figure in {table} grows nothing")
        (kept.season / table).write_text(tables[table])
    kept.plan("--limit", "1.75")
    check.equal(kept.crops(), crops, "another limit grows nothing")

    def later(rows):
        rows[0]["sow_planned"] = "2027-04-07"

    support.edit_csv(kept.season / "contracts.csv", later)
    soil = kept.entries("soil")
    check.true(soil, "the water that seasons begin with is kept")
    moved, moved_bytes, manifest = kept.plan()
    check.equal(manifest["crop_chunks"]["grown"], 3, "another sowing date of one row: three chunks grown, one for each part")
    check.equal(kept.entries("soil"), soil, "and its seasons begin with the water that is kept")
    _, folder = support.plan(kept.rickyard, kept.season, "--no-cache")
    check.equal((folder / "plan.json").read_bytes(), moved_bytes, "the same bytes as with nothing kept")
    grown = kept.crops() - crops
    check.equal(len(grown), 3, "another sowing date of one row grows its three parts and no more")
    check.true(json.dumps(moved["regions"]) != json.dumps(before["regions"]), "and the regions change")
    (kept.season / "contracts.csv").write_text(tables["contracts.csv"])
    # To and fro between dates that were planned before.
    for _ in range(2):
        _, back, manifest = kept.plan()
        check.equal(manifest["crop_chunks"]["grown"], 0, "back on the old date nothing is grown")
        support.edit_csv(kept.season / "contracts.csv", later)
        _, again, manifest = kept.plan()
        check.equal(manifest["crop_chunks"]["grown"], 0, "on the later date again nothing is grown")
        check.equal(again, moved_bytes, "and the plan is that of the later date")
        (kept.season / "contracts.csv").write_text(tables["contracts.csv"])
    check.equal(kept.crops() - crops, grown, "no other crop was kept meanwhile")
    weather = kept.entries("weather") | kept.entries("geography")
    text = (kept.season / "season.toml").read_text()
    (kept.season / "season.toml").write_text(text + '\n[[case]]\nname = "dry june"\nrain_factor = [1, 1, 1, 1, 1, 0.3, 1, 1, 1, 1, 1, 1]\n')
    kept.plan("--case", "dry june")
    check.true(len(kept.crops() - crops - grown) >= 3, "a case of rain grows under its own weather")
    check.equal(kept.entries("weather") | kept.entries("geography"), weather, "and packs no weather again")
    (kept.season / "season.toml").write_text(text)
    return back


def check_damage(check, kept, expected):
    damaged = 0
    for path in sorted(kept.cache.glob("*.cache")):
        data = bytearray(path.read_bytes())
        data[len(data) * 2 // 3] ^= 0x10
        path.write_bytes(bytes(data))
        damaged += 1
    check.true(damaged >= 5, f"{damaged} entries damaged")
    _, bytes_, _ = kept.plan()
    check.equal(bytes_, expected, "with one bit turned in every entry the plan is the same")
    for path in sorted(kept.cache.glob("*.cache")):
        path.write_bytes(path.read_bytes()[:-100])
    _, bytes_, _ = kept.plan()
    check.equal(bytes_, expected, "with every entry cut short the plan is the same")


def check_together(check, kept, expected):
    shutil.rmtree(kept.cache)
    runs = [subprocess.Popen([kept.rickyard, "plan", kept.season, "--cache", kept.cache, "--name", f"side-{i}"], stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE, text=True) for i in range(2)]
    for run in runs:
        out, err = run.communicate(timeout=600)
        if check.equal(run.returncode, 0, f"two plans at once on an empty cache: {err[-500:]}"):
            check.equal((support.run_folder_of(out) / "plan.json").read_bytes(), expected, "each of two plans at once is the same")


def main():
    args = support.arguments()
    check = support.Checks()
    folder = support.fresh(args.work) / "season-2027"
    make_season(args.rickyard, folder)
    add_rasters(folder)
    kept = Kept(args.rickyard, pathlib.Path(folder), args.work / "kept")
    document, first_bytes = check_second_plan(check, kept)
    check_exact(check, kept, document)
    back = check_only_what_changed(check, kept, document)
    check.equal(back, first_bytes, "back on the old date the plan is the first one again")
    check_damage(check, kept, first_bytes)
    check_together(check, kept, first_bytes)
    check.done()


if __name__ == "__main__":
    main()
