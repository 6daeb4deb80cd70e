"""Times this library beside HiGHS and CP-SAT on the same setups, first level only (the least longest time).

    python compare.py unlike-mid 8,16 20

`cargo bench --bench levels` writes the setups and what the library answers; here the same documents are read by
tests/outside (a second reading of the model), put as integer programs, and solved. All answers must agree.
Exit code 1 where any does not.
"""

import argparse
import collections
import json
import pathlib
import platform
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "outside"))

import highs  # noqa: E402
import milp  # noqa: E402
import model  # noqa: E402
import programs  # noqa: E402
import rotas  # noqa: E402
import setups  # noqa: E402

LIBRARY = "this library"


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("family", help="as of `cargo bench --bench levels`, one without deadlines; or rota")
    arguments.add_argument("sizes", help="numbers of devices, as 8,16")
    arguments.add_argument("seeds", help="how many seeds, or FIRST..LAST")
    arguments.add_argument("--limit", type=float, default=30, help="seconds of one solver on one setup (%(default)s)")
    arguments.add_argument(
        "--methods", default=",".join(programs.METHODS), help="those wanted, of %(default)s", type=str
    )
    given = arguments.parse_args()
    methods = given.methods.split(",")
    unknown = [name for name in methods if name not in programs.METHODS]
    if unknown:
        arguments.error(f"no method {unknown[0]}; there are {', '.join(programs.METHODS)}")
    with tempfile.TemporaryDirectory() as folder:
        command = ["cargo", "bench", "--quiet", "--bench", "levels", "--", given.family, given.sizes, given.seeds]
        written = subprocess.run([*command, "--write", folder], cwd=ROOT, check=False)
        if written.returncode:
            return written.returncode
        entries = [json.loads(path.read_text()) for path in pathlib.Path(folder).iterdir()]
    entries.sort(key=lambda entry: (entry["size"], entry["seed"]))
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}; CPU time in ms;")
    print(f"limit {given.limit:g} s; every solver on one thread, its own running time alone", flush=True)
    faults = 0
    for size in dict.fromkeys(entry["size"] for entry in entries):
        faults += compare([entry for entry in entries if entry["size"] == size], methods, given.limit)
    print("all answers agree" if not faults else f"{faults} answers differ")
    return 1 if faults else 0


def compare(entries, methods, limit_s):
    """Prints the table of one size; how many answers differ."""
    times = collections.defaultdict(list)
    ended = collections.Counter()
    faults = left_out = 0
    for entry in entries:
        if entry["unserved"] or entry["late"] or not entry["proven"]:
            left_out += 1  # the programs below seat everybody, and an unproven answer is none to agree with
            continue
        times[LIBRARY].append(entry["ms"])
        ended[LIBRARY] += 1
        expected = model.micro(entry["longest_h"])
        setup = setups.resolve(entry["setup"])
        program = program_of(setup, limit_s)
        for name in methods:
            clock = programs.Clock(limit_s)
            try:
                longest = programs.METHODS[name](program, clock)
            except highs.OutOfTime:
                times[name].append(limit_s * 1000)
                continue
            ended[name] += 1
            times[name].append(clock.used_s * 1000)
            if longest != expected:
                faults += 1
                print(f"{entry['family']} {entry['size']} seed {entry['seed']}: {name}: {longest}, library {expected}")
    family, size = entries[0]["family"], entries[0]["size"]
    said = f", {left_out} left out (not everybody has a berth, or unproven)" if left_out else ""
    print(f"\n{family}, {size} devices, {len(entries)} setups{said}")
    print(f"  {'':<20}{'median':>12}{'worst':>12}{'ended':>8}{'times the library':>20}")
    for name, own in times.items():
        # Those that did not end count with the limit: what is shown is then the least that it can be.
        median, worst = statistics.median(own), max(own)
        open_median = "> " if median >= limit_s * 1000 else ""
        open_worst = "> " if ended[name] < len(own) else ""
        ratio = median / statistics.median(times[LIBRARY])
        print(
            f"  {name:<20}{open_median + f'{median:.2f}':>12}{open_worst + f'{worst:.2f}':>12}"
            f"{f'{ended[name]}/{len(own)}':>8}{open_median + f'{ratio:.1f}':>20}",
            flush=True,
        )
    return faults


def program_of(setup, limit_s):
    """Of a rota, those that are late are left out: nobody need be, or the setup is not compared."""
    if not setup.sessions:
        return milp.Program(setup, least_options(setup, model.options_of(setup)), limit_s)
    in_time = [[o for o in own if not o.late] for own in rotas.stays_of(setup)]
    return rotas.Program(setup, least_options(setup, in_time), limit_s)


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
