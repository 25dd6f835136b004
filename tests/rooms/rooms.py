"""Reads every #include against the table of rooms. Usage: rooms.py REPOSITORY; prints each breach, exits 1 on any."""
import pathlib
import re
import sys

# Rooms inside planner, each with those it may use (besides itself). In the order of the data flow.
CHAIN = ["base", "season", "weather", "crop", "quality", "supply", "sourcing"]
DOMAIN = [f"planner/{name}" for name in CHAIN] + ["planner/calibration", "planner/rules", "planner/document", "planner/sowing", "planner/hindcast", "planner/decision"]
MAY_USE = {f"planner/{name}": [f"planner/{earlier}" for earlier in CHAIN[:i]] for i, name in enumerate(CHAIN)}
# Learning from deliveries hangs beside the chain: it sees what quality sees, and nothing in the chain sees it.
# What to sign and buy stands on the programme, before rules and document.
MAY_USE |= {"planner/decision": [f"planner/{name}" for name in CHAIN]}
MAY_USE |= {"planner/calibration": [f"planner/{name}" for name in CHAIN[: CHAIN.index("supply")]]}
MAY_USE |= {"planner/hindcast": [f"planner/{name}" for name in CHAIN[: CHAIN.index("sourcing")]] + ["planner/calibration"]}
MAY_USE |= {room: DOMAIN for room in ("planner/rules", "planner/document", "planner/sowing", "geo", "io", "reports")}
MAY_USE |= {"planner/app": DOMAIN + ["geo", "io", "reports"], "demo-regions": []}

# Foreign libraries: where their headers may be included. A header of ours may hold those marked True; the rest stop at a .cpp.
FOREIGN = [
    # pattern, rooms or files, may stand in a header
    (r"(gdal|ogr|cpl_|gnm|vrtdataset|proj)[a-z0-9_]*\.h", ["geo", "demo-regions", "io/sheet_reader.cpp", "io/table_writer_xlsx.cpp"], False),
    (r"GeographicLib/.*", ["geo"], False),
    (r"geos_c\.h", ["geo"], False),
    (r"coin/.*", ["planner/sourcing"], False),
    (r"toml\+\+/.*", ["io"], False),
    (r"nlohmann/.*", ["io", "planner/app/crew_words.cpp"], False),
    (r"mpi\.h", ["planner/app/crew_mpi.cpp"], False),
    (r"libfccp/.*", ["io"], False),
    (r"openssl/.*", ["io"], False),
    (r"xxh(ash|_x86dispatch)\.h", ["io/file_cache_layout.cpp"], False),
    (r"httplib\.h", ["reports"], False),
    (r"CLI/.*", ["planner/app"], False),
    (r"(oneapi/)?tbb/.*", ["planner/base"], False),
    (r"Random123/.*", ["planner/base"], False),
    (r"hwy/.*", ["planner/crop", "planner/supply", "planner/weather"], False),
    (r"boost/date_time/.*", ["planner", "geo", "io", "reports"], True),
    (r"boost/math/.*", ["planner", "demo-regions"], False),
    (r"Eigen/.*", ["planner", "demo-regions"], True),
    (r"fmt/.*", ["planner", "geo", "io", "reports"], False),
]
# The files that know a solver: one solve from scratch, one kept loaded, one over whole numbers.
SOLVER_FILES = {f"planner/sourcing/{name}.cpp" for name in ("lp_solver", "warm_lp", "integer_solver")}
# POSIX: files and processes, never in the domain.
POSIX = r"(sys/.*|unistd\.h|fcntl\.h|signal\.h|dirent\.h|poll\.h)"
POSIX_ROOMS = ["planner/app", "geo", "io", "reports", "demo-regions"]

# The domain opens no file, prints nothing, asks no clock.
FILES_PRINT_CLOCK = {"fstream", "iostream", "cstdio", "stdio.h", "filesystem", "ostream", "istream", "syncstream", "print", "chrono", "ctime", "time.h"}
DOMAIN_WORDS = re.compile(
    r"\b(system_clock|steady_clock|high_resolution_clock|day_clock|microsec_clock|second_clock|printf|fprintf|puts|fopen|getenv|gettimeofday|"
    r"clock_gettime|random_device)\b|\bstd::(cout|cerr|clog)\b|\bfmt::print\b|\b(std::)?time\s*\(\s*(nullptr|NULL|0)\s*\)")

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]')
COMMENT = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"', re.DOTALL)


def room_of(path):
    """planner/crop/x.h -> planner/crop; geo/x.h -> geo. Empty for what is no room."""
    parts = path.split("/")
    if parts[0] == "planner":
        return "/".join(parts[:2]) if len(parts) > 2 else ""
    return parts[0] if parts[0] in ("geo", "io", "reports", "demo-regions") else ""


def within(path, places):
    return any(path == place or path.startswith(place + "/") for place in places)


def own_breach(path, included, root, generated):
    room, other = room_of(path), room_of(included)
    if not (root / included).is_file() and included not in generated:
        return "is no file of this repository (includes are rooted at its top)"
    if other == "":
        return "belongs to no room"
    if other != room and other not in MAY_USE.get(room, []):
        return f"{room} may not use {other}"
    return ""


def foreign_breach(path, included):
    room = room_of(path)
    for pattern, places, in_headers in FOREIGN:
        if not re.fullmatch(pattern, included):
            continue
        if not within(path, places):
            return f"this library may be used in {', '.join(places)} only"
        if path.endswith(".h") and not in_headers:
            return "this foreign header stops at a .cpp"
        return ""
    if re.fullmatch(POSIX, included):
        return "" if room in POSIX_ROOMS else "the domain knows no files and no processes"
    if room in DOMAIN and included in FILES_PRINT_CLOCK:
        return "the domain opens no file, prints nothing and asks no clock"
    if re.fullmatch(r"[a-z0-9_]+(\.h)?", included):
        return ""  # the standard library
    return "this library is in no row of the table"


def breaches_of_file(path, text, root, generated):
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        match = INCLUDE.match(line)
        if not match:
            continue
        included = match.group(2)
        why = own_breach(path, included, root, generated) if match.group(1) == '"' else foreign_breach(path, included)
        if why:
            found.append(f"{path}:{number}: {included}: {why}")
    if room_of(path) in DOMAIN:
        code = COMMENT.sub(lambda m: re.sub(r"[^\n]", " ", m.group()), text)
        for word in DOMAIN_WORDS.finditer(code):
            found.append(f"{path}:{code.count(chr(10), 0, word.start()) + 1}: {word.group()}: the domain opens no file, prints nothing and asks no clock")
    return found


def breaches(root):
    """All breaches under root, and how many files and includes were read."""
    root = pathlib.Path(root)
    rooms = ["planner", "geo", "io", "reports", "demo-regions"]
    files = sorted(f for room in rooms for f in (root / room).rglob("*") if f.suffix in (".h", ".cpp") and "node_modules" not in f.parts)
    # Headers that CMake writes from a template x.h.in.
    generated = {str(f.relative_to(root))[:-3] for room in rooms for f in (root / room).rglob("*.h.in")}
    found, includes = [], 0
    for file in files:
        path, text = str(file.relative_to(root)), file.read_text(encoding="utf-8")
        if room_of(path) == "" or (room_of(path) not in MAY_USE):
            found.append(f"{path}: this folder is in no row of the table")
            continue
        includes += sum(1 for line in text.splitlines() if INCLUDE.match(line))
        found += breaches_of_file(path, text, root, generated)
    solver = sorted({str(f.relative_to(root)) for f in files if re.search(r"#\s*include\s*<coin/", f.read_text(encoding="utf-8"))})
    if extra := [f for f in solver if f not in SOLVER_FILES]:
        found.append(f"{', '.join(extra)}: the solvers' headers stop at {', '.join(sorted(SOLVER_FILES))}")
    return found, len(files), includes


def main():
    found, files, includes = breaches(sys.argv[1])
    for breach in found:
        print(breach)
    if files < 50 or includes < 200:
        print(f"only {files} files and {includes} includes were found: is {sys.argv[1]} the repository?")
        return 1
    print(f"{files} files, {includes} includes, {len(found)} breaches")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
