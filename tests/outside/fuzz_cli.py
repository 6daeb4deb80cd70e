"""Changed documents and lines through every subcommand of the binary, and what must hold of each run.

Every seed is one run (and the runs that follow from it: a plan is put before `verify`, and so on). It takes a document
of fixtures/, of `generate.py`, or one that the binary made of them, changes it (`mutate.py`), and asks a subcommand
with options at random (`fuzz_cases.py`). Each run must end by itself, in time, within its memory, with an exit code of
the interface, with a message where the input is refused, and without a trace in any file but those named
(`fuzz_checks.py`). The same seed makes the same run.
"""

import argparse
import collections
import concurrent.futures
import os
import pathlib
import random
import re
import resource
import shlex
import shutil
import sys
import tempfile
import time

import fuzz_checks
import fuzz_cases
from running import RunFolder

PER_CLASS = 4
# Of a process of this program; a run of the binary has limits of its own.
MOST_BYTES = 3 << 30


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--seeds", default="0..1999", help="first..last, both included (default %(default)s)")
    arguments.add_argument("--jobs", type=int, default=2, help="processes (default %(default)s)")
    arguments.add_argument(
        "--only", action="append", choices=sorted(fuzz_cases.WEIGHTS), help="this subcommand only; may be given again"
    )
    arguments.add_argument(
        "--keep", type=pathlib.Path, help=f"a folder for the inputs of failing runs, {PER_CLASS} of each kind"
    )
    arguments.add_argument("--wall", type=float, default=20, help="the most seconds of a run (default %(default)s)")
    arguments.add_argument(
        "--cpu", type=float, default=20, help="the most seconds of CPU of a run (default %(default)s)"
    )
    arguments.add_argument("--memory", type=int, default=1024, help="the most MiB of a run (default %(default)s)")
    given = arguments.parse_args()
    binary = shutil.which(given.binary)
    if binary is None:
        arguments.error(f"{given.binary} is not a program")
    try:
        first, last = map(int, given.seeds.split(".."))
    except ValueError:
        arguments.error("--seeds is written as 0..1999")
    if last < first:
        arguments.error("no seeds")
    binary = os.path.abspath(binary)
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="wattberth-fuzz-") as folder:
        corpus = fuzz_cases.Corpus(RunFolder(binary, folder, given.wall, given.cpu))
        print(f"corpus: {corpus.counted()}", flush=True)
        setting = (corpus, binary, folder, given.wall, given.cpu, given.memory, given.only)
        tally = Tally(given.keep)
        with concurrent.futures.ProcessPoolExecutor(given.jobs, initializer=settle, initargs=setting) as workers:
            seeds = range(first, last + 1)
            for done, (seed, results) in enumerate(workers.map(one, seeds, chunksize=8), 1):
                for result in results:
                    tally.add(seed, result)
                if done % 1000 == 0:
                    print(
                        f"... {done} of {len(seeds)}, {time.monotonic() - began:.0f} s, {tally.failed} failed",
                        flush=True,
                    )
    tally.summary(time.monotonic() - began)
    return 1 if tally.failed else 0


def settle(corpus, binary, folder, wall, cpu, memory, only):
    """What every run of this process needs."""
    global SETTING
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, resource.getrlimit(resource.RLIMIT_AS)[1]))
    own = tempfile.mkdtemp(dir=folder)
    SETTING = corpus, RunFolder(binary, own, wall, cpu), memory, only


def one(seed):
    """(seed, [(subcommand, exit code, wall, CPU, MiB, lines, failures, the run where it failed), …])."""
    corpus, runs, memory, only = SETTING
    rng = random.Random(f"wattberth fuzz {seed}")
    results = []
    left = [fuzz_cases.case(rng, corpus, only)]
    while left:
        case = left.pop(0)
        ended = runs.run(case)
        failures = fuzz_checks.failures(case, ended, memory)
        kept = (case, ended.stdout[:20000], ended.stderr[:20000]) if failures else None
        lines = fuzz_checks.lines_of(case)
        results.append((case.name, ended.code, ended.wall_s, ended.cpu_s, ended.peak_mib, lines, failures, kept))
        left.extend(fuzz_cases.following(rng, case, ended))
    return seed, results


class Tally:
    """Counts by subcommand, and failures by kind."""

    def __init__(self, keep):
        self.keep = keep
        self.failed = 0
        self.of = collections.defaultdict(
            lambda: {"runs": 0, "lines": 0, "codes": collections.Counter(), "wall": 0, "cpu": 0, "mib": 0}
        )
        self.kinds = collections.defaultdict(list)

    def add(self, seed, result):
        name, code, wall, cpu, mib, lines, failures, kept = result
        of = self.of[name]
        of["runs"] += 1
        of["lines"] += lines
        of["codes"][code] += 1
        of["wall"], of["cpu"], of["mib"] = max(of["wall"], wall), max(of["cpu"], cpu), max(of["mib"], mib)
        self.failed += bool(failures)
        for failure in failures:
            kind = f"{name}: {general(failure)}"
            self.kinds[kind].append(seed)
            command = shlex.join(["wattberth", *kept[0].arguments])
            print(f"seed {seed}: {command[:300]}: {failure[:400]}", flush=True)
            if self.keep and len(self.kinds[kind]) <= PER_CLASS:
                self.store(seed, kind, failure, command, kept)

    def store(self, seed, kind, failure, command, kept):
        case, stdout, stderr = kept
        folder = self.keep / re.sub(r"[^a-z0-9]+", "-", kind.lower()).strip("-")[:90] / str(seed)
        shutil.rmtree(folder, ignore_errors=True)
        inputs = folder / "inputs"
        inputs.mkdir(parents=True)
        for path, data in case.files.items():
            (inputs / path).write_bytes(data)
        given = f" <{shlex.quote(case.stdin)}" if case.stdin else ""
        (folder / "command").write_text(f"{command}{given}\n", errors="replace")
        (folder / "failure").write_text(failure + "\n", errors="replace")
        (folder / "stdout").write_bytes(stdout)
        (folder / "stderr").write_bytes(stderr)

    def summary(self, seconds):
        print(
            "\n| subcommand | runs | lines | exit codes | worst wall s | worst CPU s | worst MiB |\n"
            "|---|---|---|---|---|---|---|"
        )
        for name, of in sorted(self.of.items()):
            codes = ", ".join(f"{code}: {count}" for code, count in sorted(of["codes"].items()))
            print(
                f"| {name} | {of['runs']} | {of['lines'] or ''} | {codes} "
                f"| {of['wall']:.2f} | {of['cpu']:.2f} | {of['mib']:.0f} |"
            )
        for kind, seeds in sorted(self.kinds.items(), key=lambda item: -len(item[1])):
            print(f"{len(seeds)} × {kind} (seeds {', '.join(map(str, sorted(seeds)[:PER_CLASS]))})")
        runs = sum(of["runs"] for of in self.of.values())
        lines = sum(of["lines"] for of in self.of.values())
        print(
            f"{runs} runs, {lines} lines in {seconds:.0f} s: {self.failed} failed, {len(self.kinds)} kinds of failures"
        )


def general(failure):
    """A failure without what differs from run to run."""
    text = re.sub(r"“.*”", "“…”", failure, flags=re.DOTALL).split("\n")[0]
    return re.sub(r"\d+(\.\d+)?", "#", text)[:160]


if __name__ == "__main__":
    sys.exit(main())
