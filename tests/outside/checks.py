"""What every check of the binary does: seeds from the command line, one setup each, on several processes."""

import argparse
import collections
import functools
import json
import multiprocessing
import shutil
import subprocess
import time

import claims
import generate
import highs

MOST_SKIPPED = 0.1

# The last levels have a share of the budget only, and a few plans need more than that of the default.
PATIENT = ["--budget", "8000000"]


class Refused(Exception):
    """The binary ended with an exit code that is none of those expected."""


def run(doc, seeds, disagreements, too_little=lambda cases, counts: None, setup=generate.setup):
    """Runs `disagreements(seed, document, binary, limit_s)` on `setup(seed)` for every seed; returns the exit code.

    It gives a list of sentences, and what it counted by name. `too_little(cases, counts)` says, where that is so,
    that the counts are too low for the check to mean anything.
    """
    arguments = argparse.ArgumentParser(description=doc, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--seeds", default=seeds, help="first..last, both included (default %(default)s)")
    arguments.add_argument("--limit", type=float, default=30, help="seconds per integer program (default %(default)s)")
    arguments.add_argument("--jobs", type=int, default=2, help="processes (default %(default)s)")
    given = arguments.parse_args()
    if shutil.which(given.binary) is None:
        arguments.error(f"{given.binary} is not a program")
    try:
        first, last = map(int, given.seeds.split(".."))
    except ValueError:
        arguments.error(f"--seeds is written as {seeds}")
    cases = range(first, last + 1)
    passed = failed = skipped = 0
    counts = collections.Counter()
    began = time.monotonic()
    check = functools.partial(checked, setup, disagreements, given.binary, given.limit)
    with multiprocessing.Pool(given.jobs) as workers:
        for done, (seed, faults, counted) in enumerate(workers.imap_unordered(check, cases), 1):
            counts.update(counted)
            if faults is None:
                skipped += 1
                print(f"seed {seed}: skipped, the integer program found no end, or the program did not", flush=True)
            elif faults:
                failed += 1
                print(f"seed {seed}: {'; '.join(faults)}", flush=True)
            else:
                passed += 1
            if done % 25 == 0:
                print(f"... {done} of {len(cases)}, {time.monotonic() - began:.0f} s", flush=True)
    empty = "no seeds" if not cases else too_little(len(cases), counts)
    too_many = skipped > MOST_SKIPPED * len(cases)
    if too_many:
        print(f"more than {MOST_SKIPPED:.0%} skipped: make the setups smaller or the limit longer")
    if empty:
        print(empty)
    print("; ".join([
        f"{passed} passed, {failed} failed, {skipped} skipped", *(f"{number} {what}" for what, number in counts.items()),
    ]))
    return 1 if failed or too_many or empty else 0


def checked(setup, disagreements, binary, limit_s, seed):
    """(seed, list of disagreements; None where the integer program found no end; what was counted)."""
    try:
        return seed, *disagreements(seed, setup(seed), binary, limit_s)
    except (highs.OutOfTime, claims.NotMonotone):
        return seed, None, {}
    except Refused as error:
        return seed, [str(error)], {}
    except Exception as error:  # a broken document must not end the run
        return seed, [f"{type(error).__name__}: {error}"], {}


def settled(told):
    """Ends the comparison where the program itself says that a limit struck."""
    if told["status"] == "feasible":
        raise highs.OutOfTime


def answer(binary, command, document, codes, *arguments):
    """(exit code, the JSON document that the binary prints) for a setup on its standard input."""
    ended = subprocess.run(
        [binary, command, "-", "--json", *arguments],
        input=json.dumps(document), capture_output=True, text=True, timeout=600,
    )
    if ended.returncode not in codes:
        said = ended.stderr.strip() or ended.stdout
        raise Refused(f"exit code {ended.returncode}: {' '.join(said.split())[:300]}")
    return ended.returncode, json.loads(ended.stdout)
