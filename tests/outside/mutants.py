"""Changes what people trust most, one small change at a time, and asks whether any test notices.

The changes are those of cargo-mutants (`cargo install cargo-mutants`), which lists them; `mutant_source.py` compiles
all of them into one copy of the tree under target/. Every test is then run once by itself, to learn which functions
it reaches, and each change is put to the tests that reach it, the likeliest and quickest first, until one fails or
does not end. A change that no test notices survives: it must stand in `mutants.txt` with the reason why, or the exit
code is 1. What does not compile is no change, and is not counted; nor is what stands in a `const fn`, which a switch
cannot reach.
"""

import argparse
import collections
import concurrent.futures
import dataclasses
import itertools
import json
import math
import os
import pathlib
import random
import re
import resource
import shutil
import subprocess
import sys
import threading
import time

from mutant_source import SWITCH, Lines, Mutant, rewritten

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
EXPLAINED = HERE / "mutants.txt"
WORK = ROOT / "target" / "mutants"
TREE = WORK / "tree"
# What is changed, by the modules of the report.
GROUPS = {
    "proof checker": ["src/verify/proof.rs", "src/verify/proof/*.rs", "src/verify/formula/text.rs"],
    "formulas": ["src/verify/formula.rs", "src/verify/formula/[lrt]*.rs", "src/verify/program.rs", "src/verify/program/*.rs"],
    "promises": ["src/plan/promise.rs", "src/plan/certain.rs", "src/verify/promise.rs", "src/assign/options/asks.rs"],
    "contracts": ["src/setup/contract.rs", "src/setup/curve.rs", "src/verify/negotiation.rs", "src/verify/time.rs"],
    "verify, the rest": ["src/verify.rs", "src/verify/*.rs", "src/verify/rota/*.rs"],
    "air rules": ["src/facts/air.rs", "src/facts/air/*.rs"],
    "proof writing": ["src/assign/prove.rs", "src/assign/prove/*.rs", "src/plan/proof.rs"],
    "bounds": ["src/solve/bound.rs", "src/solve/bound/*.rs", "src/solve/lower_bounds.rs"],
}
# So that a change without an end takes neither the machine nor the day.
MOST_BYTES = 6 << 30
LEAST_CPU_S = 10
# Fewer random cases than by default: many changes, and what a few cases notice, many notice too.
CASES = "60"


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--only", action="append", choices=list(GROUPS), help="this module only; may be given again")
    arguments.add_argument("--changed", metavar="COMMIT", help="only what was changed since this commit")
    arguments.add_argument("--seconds", type=float, default=math.inf, help="begin no further change after so many")
    arguments.add_argument("--cpu", type=float, default=60, help="the most seconds of CPU per change (default %(default)s)")
    arguments.add_argument("--names", type=pathlib.Path, help="only the changes named in this file, a line `- NAME` each")
    arguments.add_argument("--programs", help="only tests of these programs, as lib,proofs")
    arguments.add_argument("--most", type=int, help="so many changes at most, drawn by number from all")
    arguments.add_argument("--jobs", type=int, default=2, help="tests at once (default %(default)s)")
    arguments.add_argument("--cargo-mutants", default="cargo-mutants", help="path of cargo-mutants")
    given = arguments.parse_args()
    began = time.monotonic()
    mutants = listed(given)
    if given.names:
        mutants = [mutant for mutant in mutants if mutant.name() in named(given.names)]
    if not mutants:
        print("nothing of these modules is changed")
        return 0
    if given.most and given.most < len(mutants):
        mutants = sorted(random.Random(1).sample(mutants, given.most), key=lambda mutant: mutant.name())
    mutants, functions, unviable = compiled(mutants)
    print(f"{len(mutants)} changes in {len(functions)} functions, {unviable} do not compile or cannot be switched", flush=True)
    tests = reached(given.jobs, given.programs)
    print(f"{len(tests)} tests reach one of them; {time.monotonic() - began:.0f} s", flush=True)
    outcomes = put_to_tests(mutants, functions, tests, given, began)
    return told(outcomes, named(EXPLAINED))


def listed(given):
    """Every change of the modules that are asked for, as cargo-mutants names it."""
    groups = {group: GROUPS[group] for group in given.only or GROUPS}
    command = [given.cargo_mutants, "mutants", "--list", "--json"]
    for patterns in groups.values():
        for pattern in patterns:
            command += ["--file", pattern]
    if given.changed:
        WORK.mkdir(parents=True, exist_ok=True)
        change = WORK / "change.diff"
        change.write_bytes(output(["git", "diff", given.changed, "--", "src"]))
        command += ["--in-diff", change]
    entries = json.loads(output(command) or b"[]")
    texts, mutants = {}, []
    for entry in entries:
        file = entry["file"]
        if file not in texts:
            texts[file] = Lines((ROOT / file).read_text())
        lines = texts[file]
        span = tuple(lines.place(entry["span"][end]) for end in ("start", "end"))
        within, group = entry["function"], group_of(file, groups)
        if within is None or group is None or "(marked with #[test])" in entry["name"]:
            continue
        number = entry["span"]["start"]["line"]
        mutants.append(
            Mutant(
                file=file,
                group=group,
                what=re.sub(r"^\S+:\d+:\d+: ", "", entry["name"]),
                span=span,
                scope=tuple(lines.place(within["span"][end]) for end in ("start", "end")),
                replacement=entry["replacement"],
                line=lines.text.split("\n")[number - 1].strip(),
                line_number=number,
            )
        )
    mutants.sort(key=lambda mutant: (mutant.file, mutant.span))
    alike = collections.Counter()
    for mutant in mutants:
        alike[mutant.name()] += 1
        mutant.nth = alike[mutant.name()]
    return mutants


def group_of(file, groups):
    path = pathlib.PurePath(file)
    return next((group for group, patterns in groups.items() if any(map(path.match, patterns))), None)


def output(command, **more):
    return subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, **more).stdout


def compiled(mutants):
    """Writes the tree with all changes that compile, and compiles its tests.

    Returns those changes, the functions by number, and how many were left out.
    """
    shutil.rmtree(TREE, ignore_errors=True)
    for file in output(["git", "ls-files", "-z"]).decode().split("\0"):
        if file and (ROOT / file).is_file():
            target = TREE / file
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / file, target)
    whole = len(mutants)
    while True:
        for number, mutant in enumerate(mutants, 1):
            mutant.number = number
        arms, functions = written(mutants)
        wrong = refused(arms)
        if not wrong:
            break
        mutants = [mutant for mutant in mutants if mutant.number not in wrong]
        print(f"... {len(wrong)} do not compile", flush=True)
    switched = {mutant.number for held in functions.values() for mutant in held}
    return [mutant for mutant in mutants if mutant.number in switched], functions, whole - len(switched)


def written(mutants):
    by_file, arms, functions = collections.defaultdict(list), {}, {}
    for mutant in mutants:
        by_file[mutant.file].append(mutant)
    for file in sorted({mutant.file for mutant in mutants} | set(map(str, changed_files()))):
        text = (ROOT / file).read_text()
        text, arms[file], held = rewritten(text, by_file[file], len(functions))
        functions.update(held)
        (TREE / file).write_text(text)
    (TREE / "src" / "mutants.rs").write_text(SWITCH.replace("COUNT", str(max(len(functions), 1))))
    front = (ROOT / "src" / "lib.rs").read_text()
    # The copies have arms that end nowhere, and names that nobody uses.
    (TREE / "src" / "lib.rs").write_text("#![allow(warnings)]\n" + front + "\nmod mutants;\n")
    return arms, functions


def changed_files():
    """The files that an earlier round has rewritten."""
    for patterns in GROUPS.values():
        for pattern in patterns:
            for path in ROOT.glob(pattern):
                yield path.relative_to(ROOT)


def cargo(*arguments):
    environment = dict(os.environ, CARGO_PROFILE_TEST_OPT_LEVEL="1", CARGO_TARGET_DIR=str(WORK / "build"))
    ran = subprocess.run(
        ["cargo", *arguments, "--message-format=json"],
        cwd=TREE,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    return ran, [json.loads(line) for line in ran.stdout.splitlines() if line.startswith(b"{")]


def refused(arms):
    """The numbers of the changes that the compiler refuses."""
    ran, messages = cargo("check", "--lib")
    if ran.returncode == 0:
        return set()
    wrong = set()
    for message in messages:
        message = message.get("message")
        if not isinstance(message, dict) or message["level"] != "error":
            continue
        for span in message["spans"]:
            places = [arm for arm in arms.get(span["file_name"], []) if arm[0] <= span["line_start"] <= arm[1]]
            if places:
                first, last, held = min(places, key=lambda arm: arm[1] - arm[0])
                if span["is_primary"] or len(held) == 1:
                    wrong.update(mutant.number for mutant in held)
    if not wrong:
        sys.exit("the copy does not compile, and no change is to blame:\n" + ran.stderr.decode()[-4000:])
    return wrong


@dataclasses.dataclass
class Test:
    """One test of one program, and what it takes by itself."""

    program: str
    name: str
    cpu_s: float = 0.0
    kills: collections.Counter = dataclasses.field(default_factory=collections.Counter)

    def run(self, most_cpu_s, **environment):
        """Whether it passed, and the CPU seconds that it took."""
        environment = dict(os.environ, WATTBERTH_CASES=CASES, CARGO_MANIFEST_DIR=str(TREE), RAYON_NUM_THREADS="1", **environment)

        def limits():
            cpu_s = math.ceil(most_cpu_s)
            resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 2))
            resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

        process = subprocess.Popen(
            [self.program, "--exact", self.name, "--test-threads", "1", "-q"],
            cwd=TREE,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            preexec_fn=limits,
            process_group=0,
        )
        # What sleeps for ever takes no CPU.
        watch = threading.Timer(20 * most_cpu_s, lambda: os.killpg(process.pid, 9))
        watch.start()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        watch.cancel()
        return process.returncode == 0, used.ru_utime + used.ru_stime


def reached(jobs, wanted):
    """Every test that passes by itself, with the numbers of the functions that it reaches."""
    only = [["--lib"] if name == "lib" else ["--test", name] for name in (wanted or "").split(",") if name]
    ran, messages = cargo("test", "--no-run", *itertools.chain(*only))
    if ran.returncode:
        sys.exit("the tests of the copy do not compile:\n" + ran.stderr.decode()[-4000:])
    programs = [
        message["executable"]
        for message in messages
        if message.get("executable") and message.get("profile", {}).get("test")
    ]
    tests = []
    for program in programs:
        names = subprocess.run([program, "--list", "--format", "terse"], cwd=TREE, stdout=subprocess.PIPE).stdout
        tests += [Test(program, line.rsplit(": ", 1)[0]) for line in names.decode().splitlines() if line.endswith(": test")]
    folder = WORK / "reached"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)

    def one(pair):
        number, test = pair
        record = folder / str(number)
        passed, test.cpu_s = test.run(600, WATTBERTH_REACHED=str(record))
        functions = {int(line) for line in record.read_text().split()} if record.exists() else set()
        return test, passed, functions

    found = {}
    with concurrent.futures.ThreadPoolExecutor(jobs) as workers:
        for test, passed, functions in workers.map(one, enumerate(tests)):
            if not passed:
                print(f"left out, since it fails in the copy: {pathlib.Path(test.program).stem} {test.name}")
            elif functions:
                found[(test.program, test.name)] = (test, functions)
    return list(found.values())


def put_to_tests(mutants, functions, tests, given, began):
    """Each change's outcome: `killed` by which test, `survived`, or none where the time was over."""
    by_function = collections.defaultdict(list)
    for test, held in tests:
        for function in held:
            by_function[function].append(test)
    function_of = {mutant.number: number for number, held in functions.items() for mutant in held}
    outcomes = []
    record = (WORK / "outcomes.ndjson").open("w")

    def one(mutant):
        if time.monotonic() - began > given.seconds:
            return mutant, "not run", ""
        spent, ran = 0.0, 0
        mine = by_function[function_of[mutant.number]]
        order = sorted(mine, key=lambda test: test.cpu_s / (1 + 4 * test.kills[mutant.file]))
        for test in order:
            if spent + test.cpu_s > given.cpu and ran:
                break
            passed, took = test.run(max(LEAST_CPU_S, 6 * test.cpu_s), WATTBERTH_MUTANT=str(mutant.number))
            spent += took
            ran += 1
            # A test that fails for the first time may fail by itself.
            if not passed and (test.kills or test.run(600)[0]):
                test.kills[mutant.file] += 1
                return mutant, "killed", f"{pathlib.Path(test.program).stem.rsplit('-', 1)[0]} {test.name}"
        return mutant, "survived", f"{ran} of {len(order)} tests that reach it"

    with concurrent.futures.ThreadPoolExecutor(given.jobs) as workers:
        for done, (mutant, outcome, by) in enumerate(workers.map(one, mutants), 1):
            outcomes.append((mutant, outcome, by))
            entry = {"name": mutant.name(), "line": mutant.line_number, "group": mutant.group, "outcome": outcome, "by": by}
            record.write(json.dumps(entry) + "\n")
            record.flush()
            if done % 100 == 0:
                print(f"... {done} of {len(mutants)}, {time.monotonic() - began:.0f} s", flush=True)
    return outcomes


def named(path):
    """The names of changes in a file, one on each line that begins with a dash."""
    lines = path.read_text().splitlines()
    return {line.removeprefix("- ") for line in lines if line.startswith("- ")}


def told(outcomes, known):
    """Prints what came of it; the exit code."""
    table = collections.defaultdict(collections.Counter)
    new = []
    for mutant, outcome, by in outcomes:
        if outcome == "survived" and mutant.name() in known:
            outcome = "explained"
        elif outcome == "survived":
            new.append((mutant, by))
        table[mutant.group][outcome] += 1
    print(f"{'':18} {'changes':>8} {'killed':>8} {'explained':>10} {'survived':>9} {'not run':>8} {'share':>7}")
    for group in [group for group in GROUPS if group in table]:
        counts = table[group]
        ran = counts["killed"] + counts["explained"] + counts["survived"]
        share = f"{100 * counts['killed'] / ran:.1f} %" if ran else ""
        print(
            f"{group:18} {counts.total():8} {counts['killed']:8} {counts['explained']:10} {counts['survived']:9}"
            f" {counts['not run']:8} {share:>7}"
        )
    for mutant, by in new:
        print(f"survived ({by}), line {mutant.line_number}:\n- {mutant.name()}")
    return 1 if new else 0


if __name__ == "__main__":
    sys.exit(main())
