"""Plants one wrong line for each rule in a copy of the tree and expects rooms.py to find it, and nothing else."""
import pathlib
import shutil
import sys
import tempfile

import rooms

# file that gets the line, the line, a word of the complaint
PLANTED = [
    ("planner/crop/soil_hydraulics.cpp", '#include "geo/coverage.h"', "may not use geo"),
    ("planner/crop/soil_hydraulics.cpp", '#include "planner/supply/supply.h"', "may not use planner/supply"),
    ("planner/base/range.cpp", '#include "planner/season/season.h"', "may not use planner/season"),
    ("planner/document/build_document.cpp", '#include "planner/app/session.h"', "may not use planner/app"),
    ("geo/coverage.cpp", '#include "io/plan_json.h"', "may not use io"),
    ("io/plan_json.cpp", '#include "geo/coverage.h"', "may not use geo"),
    ("io/plan_json.cpp", '#include "reports/tables.h"', "may not use reports"),
    ("demo-regions/terrain.cpp", '#include "planner/base/range.h"', "may not use planner/base"),
    ("planner/crop/soil_hydraulics.cpp", "#include <gdal_priv.h>", "may be used in geo"),
    ("io/plan_json.cpp", "#include <ogrsf_frmts.h>", "may be used in geo"),
    ("io/manifest.cpp", "#include <xxhash.h>", "may be used in io/file_cache_layout.cpp"),
    ("geo/coverage.h", "#include <gdal.h>", "stops at a .cpp"),
    ("io/plan_json.h", "#include <nlohmann/json.hpp>", "stops at a .cpp"),
    ("planner/base/range.cpp", "#include <coin/ClpSimplex.hpp>", "may be used in planner/sourcing"),
    ("planner/sourcing/parameters.cpp", "#include <coin/ClpSimplex.hpp>", "the solvers' headers stop at"),
    ("planner/base/range.cpp", "#include <fstream>", "opens no file"),
    ("planner/base/range.cpp", "#include <iostream>", "prints nothing"),
    ("planner/base/range.h", "#include <chrono>", "asks no clock"),
    ("planner/rules/season_defaults.cpp", "#include <ctime>", "asks no clock"),
    ("planner/base/range.cpp", "static const auto now = std::chrono::system_clock::now();", "asks no clock"),
    ("planner/base/range.cpp", 'void say() { fmt::print("x"); }', "prints nothing"),
    ("planner/base/range.cpp", "#include <unistd.h>", "no processes"),
    ("geo/coverage.cpp", '#include "grid.h"', "rooted at its top"),
    ("geo/coverage.cpp", "#include <unheard/of.hpp>", "no row of the table"),
]


def main():
    root = pathlib.Path(sys.argv[1])
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder)
        for room in ("planner", "geo", "io", "reports", "demo-regions"):
            shutil.copytree(root / room, copy / room, ignore=lambda d, names: [n for n in names if n in ("node_modules", "made", "dist")])
        before = set(rooms.breaches(copy)[0])
        for name, line, complaint in PLANTED:
            file = copy / name
            text = file.read_text(encoding="utf-8")
            file.write_text(text + "\n" + line + "\n", encoding="utf-8")
            new = set(rooms.breaches(copy)[0]) - before
            others = [breach for breach in new if name not in breach]
            if not any(name in breach and complaint in breach for breach in new) or others:
                print(f"{name}: {line}: expected one complaint with '{complaint}', got {sorted(new)}")
                bad += 1
            file.write_text(text, encoding="utf-8")
        stray = copy / "planner" / "somewhere" / "x.cpp"
        stray.parent.mkdir()
        stray.write_text("int x;\n", encoding="utf-8")
        if not any("no row of the table" in breach for breach in set(rooms.breaches(copy)[0]) - before):
            print("a new folder under planner went unnoticed")
            bad += 1
    print(f"{len(PLANTED) + 1} planted, {bad} missed")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
