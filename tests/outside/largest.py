"""Every subcommand on the largest setups that are accepted, by its default limits: CPU time, wall time, peak memory.

Prints one Markdown table. A run that takes more than 60 s of CPU or 1 GiB is marked, and the exit code is then 1; so is
one that ends in a way that is none of the interface, or is refused. What takes longer than `--kill` seconds is ended.
Needs nothing but Python 3.11; on Linux a run is ended by its CPU time, too, and at 4 GiB.
"""

import argparse
import collections
import concurrent.futures
import json
import os
import pathlib
import shutil
import sys
import tempfile

import largest_setups as made
from running import measured, mib

MOST_CPU_S = 60
MOST_MIB = 1024
# Measures from a process of its own: what this one takes itself would be the floor of every figure.
CHILD = (
    "import json, sys; sys.path.insert(0, sys.argv[1]); from running import measured\n"
    "out, err = (open(path, 'wb') for path in sys.argv[3:5])\n"
    "cpu_s = float(sys.argv[2])\n"
    "streams = {'stdin': open('stdin', 'rb'), 'stdout': out, 'stderr': err}\n"
    "code, usage, wall, killed = measured(sys.argv[5:], 10 * cpu_s, cpu_s, **streams)\n"
    "print(json.dumps([code, usage.ru_utime + usage.ru_stime, wall, usage.ru_maxrss, killed]))"
)


def every():
    """(name, what it is, arguments, files by name) of each run; a document is made only when it is its turn."""
    one = lambda build, *more: {"s.json": build, **dict(more)}
    setups = {
        "alike": ("256 devices, 256 ports on 4 chargers, all alike", lambda: made.setup(256, 64, 256, alike=True)),
        "unlike": (
            "256 devices, 256 ports on 4 chargers, all unlike, 1 kind of cable",
            lambda: made.setup(256, 64, 256),
        ),
        "chargers": ("256 devices, 64 chargers of 4 ports, all unlike", lambda: made.setup(256, 4, 256)),
        "one": ("256 devices, 1 charger of 256 ports, all unlike", lambda: made.setup(256, 256, 256)),
        "cables-16": (
            "16 devices, 16 ports, 256 kinds of cables",
            lambda: made.setup(16, 8, 16, cables=made.kinds_of_cables()),
        ),
        "cables-256": (
            "256 devices, 256 ports, 256 kinds of cables",
            lambda: made.setup(256, 64, 256, cables=made.kinds_of_cables()),
        ),
        "tables-16": ("16 devices, 1 charger of 16 ports, a table of 256 lines", lambda: made.tables(16, 16, 16)),
        "tables-256": ("256 devices, 1 charger of 256 ports, a table of 256 lines", lambda: made.tables(256, 256, 256)),
        "tables-64x4": (
            "256 devices, 64 chargers of 4 ports, tables of 256 lines each",
            lambda: made.tables(256, 4, 256),
        ),
        "scarce": ("256 devices for 16 ports, all unlike", lambda: made.setup(16, 8, 256)),
        "few": ("16 devices for 256 ports, all unlike", lambda: made.setup(256, 64, 16)),
        "tight-32": ("32 devices, 32 ports, pools just large enough", lambda: made.tight(32, 8)),
        "tight-256": ("256 devices, 256 ports, pools just large enough", lambda: made.tight(256, 32)),
        "stepped-64": ("64 devices, 64 ports, 64 tiers, PPS", lambda: made.stepped(64)),
        "stepped-256": ("256 devices, 256 ports, 64 tiers, PPS", lambda: made.stepped(256)),
        "curves": ("256 devices with curves of 1,000 points, 32 labels of 1,024 lines", lambda: made.curves(256)),
        "pools": ("256 devices, 4 chargers of 64 ports, 256 pools each", lambda: made.pools(256)),
        "pinned": ("256 devices, a quarter of them pinned", lambda: made.pinned(256)),
        "32": ("32 devices, 32 ports, all unlike", lambda: made.setup(32, 8, 32)),
    }
    for name, (what, build) in setups.items():
        yield f"assign-{name}", what, ["assign", "s.json", "--json"], one(build)
    for name in ("alike", "unlike", "cables-256", "curves"):
        yield f"check-{name}", setups[name][0], ["check", "s.json", "--json"], one(setups[name][1])
    yield "check-faulty", "13 MB of faulty text", ["check", "s.json"], one(lambda: made.faulty(13))
    for name in ("alike", "unlike", "few", "scarce"):
        what, build = setups[name]
        yield f"pages-assign-{name}", f"{what}; --html and --svg", [
            "assign",
            "s.json",
            "--html",
            "a.html",
            "--svg",
            "a.svg",
        ], one(build)
        yield f"card-{name}", f"{what}; --card", ["assign", "s.json", "--card"], one(build)
        yield f"proof-{name}", f"{what}; --proof", ["assign", "s.json", "--json", "--proof", "proof"], one(build)
    nights = {
        "alike": ("256 devices, 16 ports, 16 sessions, all alike", lambda: made.sessions(16, 16, 256, alike=True)),
        "unlike-32": ("32 devices, 4 ports, 16 sessions, all unlike", lambda: made.sessions(4, 4, 32)),
        "unlike-256": ("256 devices, 16 ports, 16 sessions, all unlike", lambda: made.sessions(16, 16, 256)),
        "ports-256": ("256 devices, 256 ports, 16 sessions, all unlike", lambda: made.sessions(256, 64, 256)),
        "here-4": (
            "256 devices, 64 ports, 16 sessions, each at hand in 4 of them",
            lambda: made.sessions(64, 16, 256, here=4),
        ),
        "here-1": (
            "256 devices, 16 ports, 16 sessions, each at hand in 1 of them",
            lambda: made.sessions(16, 16, 256, here=1),
        ),
    }
    for name, (what, build) in nights.items():
        yield f"rota-{name}", what, ["rota", "s.json", "--json"], one(build)
    for name in ("alike", "here-4"):
        yield f"pages-rota-{name}", f"{nights[name][0]}; --html and --svg", [
            "rota",
            "s.json",
            "--html",
            "a.html",
            "--svg",
            "a.svg",
        ], one(nights[name][1])
    for name in ("unlike", "scarce", "32"):
        what, build = setups[name]
        yield f"score-{name}", what, ["score", "s.json", "w.json", "--json"], one(
            build, ("w.json", lambda build=build: made.ways(build()))
        )
    for name in ("alike", "unlike", "cables-16", "tables-16", "tight-32", "scarce", "pinned", "pools", "32"):
        yield f"improve-{name}", setups[name][0], ["improve", "s.json", "--json"], one(setups[name][1])
    for name in ("alike", "unlike", "cables-256", "stepped-256", "curves"):
        yield f"size-{name}", f"{setups[name][0]} (the bag of it)", ["size", "s.json", "--json"], one(
            lambda build=setups[name][1]: made.bag(build())
        )
    bag = lambda: made.bag(setups["cables-256"][1]())
    yield "pages-size", "256 devices, 256 kinds of cables; --html and --svg", [
        "size",
        "s.json",
        "--html",
        "a.html",
        "--svg",
        "a.svg",
    ], one(bag)
    for many in (12, 64, 256):
        people = lambda many=many: made.bag(made.setup(many, many, many))
        kits = ("c.ndjson", lambda: made.candidates(8))
        yield f"rank-singles-{many}", f"1,000 candidates, {many} devices", [
            "rank",
            "s.json",
            "c.ndjson",
            "--json",
        ], one(people, kits)
        if many < 256:
            yield f"rank-pairs-{many}", f"1,000 candidates in pairs, {many} devices", [
                "rank",
                "s.json",
                "c.ndjson",
                "--up-to",
                "2",
                "--json",
            ], one(people, kits)
    people = lambda: made.bag(made.setup(12, 12, 12))
    arguments = ["rank", "s.json", "c.ndjson", "--up-to", "2", "--top", "8", "--html", "a.html", "--svg", "a.svg"]
    yield "pages-rank", "1,000 candidates in pairs, 12 devices; --html and --svg", arguments, one(
        people, ("c.ndjson", lambda: made.candidates(8))
    )
    trips = {
        "alike": ("64 stops alike, 10 chargers, 5 outlets, 12 devices", lambda: made.trip(2, 12, 5, alike=True)),
        "unlike": ("64 stops unlike, 10 chargers, 1 to 10 outlets, 12 devices", lambda: made.trip(2, 12, 5)),
        "devices-32": ("64 stops unlike, 10 chargers of 4 ports, 32 devices", lambda: made.trip(4, 32, 5)),
        "devices-256": ("64 stops unlike, 10 chargers of 25 ports, 256 devices", lambda: made.trip(25, 256, 5)),
    }
    for name, (what, build) in trips.items():
        yield f"trip-{name}", what, ["trip", "s.json", "--json"], one(build)
    yield "pages-trip", f"{trips['unlike'][0]}; --html", ["trip", "s.json", "--html", "a.html"], one(trips["unlike"][1])
    for name in ("alike", "unlike", "tables-16", "scarce", "curves"):
        what, build = setups[name]
        yield f"timeline-{name}", what, ["timeline", "s.json", "--json"], one(build)
        yield f"timeline-reshared-{name}", f"{what}; --reshared", ["timeline", "s.json", "--reshared", "--json"], one(
            build
        )
    yield "timeline-fine", f"{setups['few'][0]}; --step 0.05", ["timeline", "s.json", "--step", "0.05", "--json"], one(
        setups["few"][1]
    )
    yield "timeline-rota", f"{nights['alike'][0]}; --rota", ["timeline", "s.json", "--rota", "--json"], one(
        nights["alike"][1]
    )
    line = lambda build: json.dumps({"id": 1, "setup": build()})
    few = [made.setup(8, 4, 8) | {"name": f"setup {number}"} for number in range(100)]
    yield "batch-small", "20,000 lines of 8 devices on 8 ports", ["batch", "-"], {
        "stdin": lambda: [json.dumps({"id": 1, "setup": each}) for each in few] * 200
    }
    yield "batch-unlike", f"4 lines: {setups['unlike'][0]}", ["batch", "-"], {
        "stdin": lambda: [line(setups["unlike"][1])] * 4
    }
    yield "batch-cables", f"4 lines: {setups['cables-256'][0]}", ["batch", "-"], {
        "stdin": lambda: [line(setups["cables-256"][1])] * 4
    }
    yield "batch-curves", f"32 lines of 3 MB: {setups['curves'][0]}", ["batch", "-"], {
        "stdin": lambda: [line(setups["curves"][1])] * 32
    }


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument(
        "--only", action="append", metavar="NAME", help="runs whose name begins so; may be given again"
    )
    arguments.add_argument("--list", action="store_true", help="print the names and end")
    arguments.add_argument(
        "--kill",
        type=float,
        default=150,
        help="the most seconds of CPU of one run, and of wall time ten times that (default %(default)s)",
    )
    arguments.add_argument(
        "--jobs",
        type=int,
        default=1,
        help="runs at the same time (default %(default)s); their wall times then say less",
    )
    arguments.add_argument(
        "--write", type=pathlib.Path, help="only write the inputs into this folder, one folder for each run"
    )
    given = arguments.parse_args()
    runs = [run for run in every() if not given.only or any(run[0].startswith(name) for name in given.only)]
    if given.list or not runs:
        print("\n".join(run[0] for run in runs) or "no run is called so; --list prints the names")
        return 0 if given.list else 2
    if given.write:
        for name, _, _, files in runs:
            write(given.write / name, files)
        return 0
    binary = shutil.which(given.binary)
    if binary is None:
        arguments.error(f"{given.binary} is not a program")
    binary = os.path.abspath(binary)
    marked = 0
    print("| run | setup | answer | CPU s | wall s | peak MiB |\n|---|---|---|---|---|---|", flush=True)
    with concurrent.futures.ThreadPoolExecutor(given.jobs) as workers:
        for row, mark in workers.map(lambda run: one_row(binary, run, given.kill), runs):
            marked += mark
            print(row, flush=True)
    print(
        f"\n{len(runs)} runs, {marked} of them marked: above {MOST_CPU_S} s of CPU or {MOST_MIB} MiB, "
        "or not ended as they should"
    )
    return 1 if marked else 0


def write(folder, files):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "stdin").write_bytes(b"")
    for name, build in files.items():
        document = build()
        lines = (
            document
            if name == "stdin"
            else map(json.dumps, document) if isinstance(document, list) else [json.dumps(document)]
        )
        with open(folder / name, "w", encoding="utf-8") as file:
            file.writelines(f"{line}\n" for line in lines)


def one_row(binary, run, kill_s):
    """(a row of the table, whether it is marked)."""
    name, what, arguments, files = run
    with tempfile.TemporaryDirectory(prefix="wattberth-largest-") as folder:
        folder = pathlib.Path(folder)
        write(folder, files)
        here = str(pathlib.Path(__file__).resolve().parent)
        command = [sys.executable, "-I", "-S", "-c", CHILD, here, str(kill_s), "stdout", "stderr", binary, *arguments]
        with open(folder / "measured", "wb") as out, open(os.devnull, "rb") as nothing:
            measured(command, 10 * kill_s + 30, stdin=nothing, stdout=out, cwd=folder)
        code, cpu, wall, peak, killed = json.loads((folder / "measured").read_text())
        peak_mib = mib(collections.namedtuple("Usage", "ru_maxrss")(peak))
        said = answer(code, killed, folder, arguments)
        missing = [
            path
            for option, path in zip(arguments, arguments[1:])
            if option in ("--svg", "--html", "--proof") and not (folder / path).exists()
        ]
    said += "".join(f"; no {path}" for path in missing)
    bad = killed or code not in (0, 1, 2, 3) or code in (0, 1) and missing or code == 2 and "faulty" not in name
    bold = lambda over, text: f"**{text}**" if over else text
    over = cpu > MOST_CPU_S, peak_mib > MOST_MIB
    cells = [name, what, bold(bad, said), bold(over[0], f"{cpu:.2f}"), f"{wall:.2f}", bold(over[1], f"{peak_mib:.0f}")]
    row = f"| {' | '.join(cells)} |"
    return row, bool(bad or any(over))


def answer(code, killed, folder, arguments):
    """What was answered, in few words."""
    if killed:
        return "not over"
    if code < 0:
        return "ended by signal " + str(-code)
    said = (folder / "stderr").read_text(errors="replace").strip()
    with open(folder / "stdout", encoding="utf-8", errors="replace") as file:
        text = file.read(256 << 20)
    if arguments[0] == "batch" and code == 0:
        counts = collections.Counter(status for line in text.splitlines() for status in statuses(json.loads(line)))
        return f"{text.count(chr(10))} lines: " + counted(counts)
    if code in (0, 1) and "--json" in arguments:
        document = json.loads(text)
        notes = [counted(collections.Counter(statuses(document)))]
        notes += [
            f"{document[key]} {key.replace('_', ' ')}" for key in ("undecided", "not_planned") if document.get(key)
        ]
        return ", ".join(filter(None, notes)) or "answered"
    if code in (0, 1):
        return " ".join(text.split("\n\n")[0].split()).replace("|", "/")[:160]
    first = next((line for line in (said or text).splitlines() if line.strip(' {["')), "")
    if "--json" in arguments and not said:
        first = "; ".join(error["message"] for error in json.loads(text)["errors"][:2])
    return f"exit code {code}: {first.removeprefix('error: ')[:160]}"


def statuses(document):
    """Every status in an answer, and what a line of batch was refused for."""
    if isinstance(document, dict):
        for key, value in document.items():
            if key == "status":
                yield value
            elif key == "errors":
                yield from ("refused: " + error["message"][:80] for error in value[:1])
            else:
                yield from statuses(value)
    elif isinstance(document, list):
        for value in document:
            yield from statuses(value)


def counted(counts):
    if len(counts) == 1 and sum(counts.values()) == 1:
        return next(iter(counts))
    return ", ".join(f"{count} × {status}" for status, count in sorted(counts.items()))


if __name__ == "__main__":
    sys.exit(main())
