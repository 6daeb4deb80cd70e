"""Times this library beside HiGHS and CP-SAT on the same setups, first level only (the least longest time).

    python compare.py unlike-mid 8,16 20
    python compare.py unlike-mid,chargers,rota 8 10 --aim promise

`cargo bench --bench levels` writes the setups and what the library answers; here the same documents are read by
tests/outside (a second reading of the model), put as integer programs, and solved. All answers must agree.
Exit code 1 where any does not.
"""

import argparse
import collections
import importlib.metadata
import json
import pathlib
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "benches"), str(ROOT / "tests" / "outside")]

import every_plan  # noqa: E402
import highs  # noqa: E402
import means  # noqa: E402
import milp  # noqa: E402
import model  # noqa: E402
import programs  # noqa: E402
import rotas  # noqa: E402
import setups  # noqa: E402
import textbook  # noqa: E402

LIBRARY = "this library"
# What settles the levels before the longest time, which the programs are given, may take.
BEFORE_S = 120.0
TEXTBOOK = "good-lp-textbook"


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("families", help="as of `cargo bench --bench levels`, with commas between")
    arguments.add_argument("sizes", help="numbers of devices, as 8,16")
    arguments.add_argument("seeds", help="how many seeds, or FIRST..LAST")
    arguments.add_argument("--limit", type=float, default=30, help="seconds of one solver on one setup (%(default)s)")
    arguments.add_argument(
        "--methods", default=",".join(programs.METHODS), help=f"those wanted, of %(default)s; and {TEXTBOOK}", type=str
    )
    arguments.add_argument("--aim", choices=["best", "promise"], default="best", help="of all setups (%(default)s)")
    arguments.add_argument("--levels", help="the program `levels`, where it is built already")
    given = arguments.parse_args()
    methods = given.methods.split(",")
    unknown = [name for name in methods if name not in programs.METHODS and name != TEXTBOOK]
    if unknown:
        arguments.error(f"no method {unknown[0]}; there are {', '.join(programs.METHODS)}, {TEXTBOOK}")
    if TEXTBOOK in methods and given.aim == "promise":
        arguments.error(f"{TEXTBOOK} knows nothing of promises")
    tell_versions(given, methods)
    faults = 0
    for family in given.families.split(","):
        with tempfile.TemporaryDirectory() as folder:
            program = [given.levels] if given.levels else ["cargo", "bench", "--quiet", "--bench", "levels", "--"]
            command = [*program, family, given.sizes, given.seeds, "--aim", given.aim, "--write", folder]
            written = subprocess.run(command, cwd=ROOT, check=False)
            if written.returncode:
                return written.returncode
            entries = [json.loads(path.read_text()) for path in pathlib.Path(folder).iterdir()]
        entries.sort(key=lambda entry: (entry["size"], entry["seed"]))
        for size in dict.fromkeys(entry["size"] for entry in entries):
            faults += compare([entry for entry in entries if entry["size"] == size], methods, given.limit)
    print("all answers agree" if not faults else f"{faults} answers differ")
    return 1 if faults else 0


def tell_versions(given, methods):
    def first_line(*command):
        if not shutil.which(command[0]):
            return "unknown"
        ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        return ended.stdout.strip().splitlines()[0] if ended.stdout.strip() else "unknown"

    print(f"{platform.processor() or platform.machine()}; CPU time in ms; aim {given.aim}")
    print(f"this library {first_line('git', 'describe', '--always', '--dirty')}, {first_line('rustc', '--version')}")
    solvers = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in ("highspy", "ortools", "numpy"))
    print(f"Python {platform.python_version()}, {solvers}")
    print(f"every solver on one thread, its own running alone, seed 0; limit {given.limit:g} s for one setup;")
    print(f"HiGHS: mip_rel_gap 0 (1e9 at a threshold: the first plan), mip_abs_gap 0, tolerances {highs.FEASIBILITY:g};")
    print("CP-SAT: num_workers 1, whole numbers, else as it comes")
    if TEXTBOOK in methods:
        print(f"{TEXTBOOK}: {textbook.said()}")
    print(f"mean: {means.SAID}", flush=True)


def compare(entries, methods, limit_s):
    """Prints the table of one size; how many answers differ."""
    times = collections.defaultdict(list)
    ended = collections.Counter()
    faults = left_out = 0
    for entry in entries:
        setup = setups.resolve(entry["setup"])
        try:
            program = program_of(setup) if entry["longest_h"] is not None else None
        except highs.OutOfTime:
            program = None
        if program is None:
            left_out += 1
            continue
        times[LIBRARY].append(entry["ms"])
        ended[LIBRARY] += entry["proven"]
        expected = model.micro(entry["longest_h"])
        for name in methods:
            clock = programs.Clock(limit_s)
            try:
                if name == TEXTBOOK:
                    longest = textbook.solve(program, clock)
                else:
                    longest = programs.METHODS[name](program, clock)
            except highs.OutOfTime:
                times[name].append(limit_s * 1000)
                continue
            ended[name] += 1
            times[name].append(clock.used_s * 1000)
            # An answer of ours that is not proven may be longer, never shorter.
            if longest != expected and (entry["proven"] or longest > expected):
                faults += 1
                print(f"{entry['family']} {entry['size']} seed {entry['seed']}: {name}: {longest}, library {expected}")
    family, size = entries[0]["family"], entries[0]["size"]
    said = f", {left_out} left out (no longest time, or what comes before took too long)" if left_out else ""
    print(f"\n{family}, {size} devices, {len(entries)} setups{said}")
    if not times:
        return faults
    print(f"  {'':<20}{'median':>12}{'worst':>12}{'mean':>12}{'proven':>9}{'times ours: median':>20}{'mean':>10}")
    for name, own in times.items():
        # Those that did not end count with the limit: what is shown is then the least that it can be.
        median, worst = statistics.median(own), max(own)
        open_median = "> " if median >= limit_s * 1000 else ""
        open_worst = "> " if ended[name] < len(own) else ""
        ratio = median / statistics.median(times[LIBRARY])
        mean, ours = means.shifted_mean(own), means.shifted_mean(times[LIBRARY])
        print(
            f"  {name:<20}{open_median + f'{median:.2f}':>12}{open_worst + f'{worst:.2f}':>12}{mean:>12.2f}"
            f"{f'{ended[name]}/{len(own)}':>9}{open_median + f'{ratio:.1f}':>20}{open_worst + f'{mean / ours:.1f}':>10}",
            flush=True,
        )
    return faults


def program_of(setup):
    """The program with what comes before the longest time in the order settled: by HiGHS, untimed. None where nobody
    has a berth."""
    question = rotas.Rota(setup) if setup.sessions else every_plan.OneSession(setup)
    if setup.aim == "best":
        options = least_options(setup, question.options())
    else:
        options = [o for own in question.options() for o in milp.without_dominated(question, own)]
    if not options:
        return None
    program = milp.Program(question, options, BEFORE_S)
    milp._serve(program)
    if setup.aim == "promise":
        program.promise()
    chosen = milp._be_in_time(program)
    program.served = len(chosen)
    return program if chosen else None


def least_options(setup, options):
    """Of the options of a device on one port with one cable (and, of a rota, from one session), those that no other
    beats in time and in what it takes."""
    kept = []
    for own in options:
        places = collections.defaultdict(list)
        for option in own:
            places[option.port, option.cable, getattr(option, "first", 0)].append(option)
        for there in places.values():
            there.sort(key=lambda o: (setup.takes_u(o), o.tier_u, o.hours_u))
            for i, option in enumerate(there):
                if all(other.hours_u > option.hours_u or other.tier_u > option.tier_u for other in there[:i]):
                    kept.append(option)
    return kept


if __name__ == "__main__":
    began = time.monotonic()
    code = main()
    print(f"{time.monotonic() - began:.0f} s in all")
    sys.exit(code)
