"""Proofs of the `wattberth` binary, checked by a foreign checker, and their formulas, written anew.

    python check_proofs.py BINARY --seeds 0..299 --veripb PATH

Of every four seeds three are setups (generate.py), one has sessions. Of each the binary writes plan and proof, of every
sixth with claims of the whole order. Every
formula must be the one that formulas.py writes, row by row; every proof must be accepted by `veripb` and by the binary's
own `verify --proof`. Then integers are changed, one at a time, in proofs, formulas and `claims.json`: the binary must
refuse each change, and so must veripb where a changed proof no longer shows what it did; the harmless ones are counted.
Last, a longest time claimed one step lower: the old proof must not fit. One line per disagreement; exit code 1 on any.
"""

import argparse
import collections
import json
import multiprocessing
import pathlib
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

import every_plan
import formulas
import generate
import model
import orders
import rotas
import setups

CHANGES = 4


def document_of(seed):
    """The command, the setup."""
    return ("rota", generate.night(seed)) if seed % 4 == 3 else ("assign", generate.setup(seed))


def verified(veripb, formula, proof):
    """Whether the foreign checker accepts a proof to its end, nothing in it assumed."""
    wanted = "SATISFIABLE" if formula.stem == "plan" else "UNSATISFIABLE"
    ended = subprocess.run([veripb, formula, proof], capture_output=True, timeout=600)
    # It tells what it has verified before it has read the last line, and of what is assumed in a warning alone.
    said = f"s VERIFIED {wanted}\n".encode() in ended.stdout
    return said and ended.returncode == 0 and b"unchecked" not in ended.stdout + ended.stderr


class Case:
    """One setup with its plan and its proof in a folder."""

    def __init__(self, seed, given, folder):
        self.seed, self.binary, self.veripb = seed, given.binary, given.veripb
        self.rng = random.Random(f"proof {seed}")
        self.folder = folder
        self.counts, self.faults = collections.Counter(), []

    def checked(self):
        command, document = document_of(self.seed)
        setup = setups.resolve(document)
        path, proof = self.folder / "setup.json", self.folder / "proof"
        path.write_text(json.dumps(document))
        began = time.monotonic()
        ended = subprocess.run(
            [self.binary, command, path, "--json", "--proof", proof, *self.whole_order()],
            capture_output=True, text=True, timeout=600,
        )
        if ended.returncode not in (0, 1):
            if "a limit struck" in ended.stderr or "the search was stopped" in ended.stderr:
                self.counts["without a proof: a limit struck"] += 1
            else:
                self.faults.append(f"exit code {ended.returncode}: {ended.stderr.strip()[:300]}")
            return
        self.counts["ms of plans with their proofs"] += round(1000 * (time.monotonic() - began))
        (self.folder / "plan.json").write_text(ended.stdout)
        self.told = json.loads((proof / "claims.json").read_text())
        self.counts["setups"] += 1
        self.counts["with tables"] += bool(setup.lines)
        self.counts["with sessions"] += bool(setup.sessions)
        self.counts["by promise"] += setup.aim == "promise"
        self.counts["with a tolerance"] += setup.tolerance_u > 0
        self.formulas(setup, json.loads(ended.stdout), proof)
        for claim in self.told["claims"]:
            name = claim["name"]
            self.counts["claims"] += 1
            self.counts[f"claims of {re.sub('-[0-9]+$', '', name)}"] += 1
            self.counts["bytes of proofs"] += (proof / f"{name}.pbp").stat().st_size
            self.counts["bytes of formulas"] += (proof / f"{name}.opb").stat().st_size
            began = time.monotonic()
            if not self.accepted(proof, name):
                self.faults.append(f"veripb refuses {name}")
            self.counts["ms of veripb"] += round(1000 * (time.monotonic() - began))
        began = time.monotonic()
        said = self.verified(proof)
        self.counts["ms of verify"] += round(1000 * (time.monotonic() - began))
        if said is not None:
            self.faults.append(f"verify refuses: {said}")
        if self.faults:
            return
        for _ in range(CHANGES):
            self.change(proof)
        self.one_lower(json.loads(ended.stdout), proof)

    def whole_order(self):
        # On small setups; sums over large ones take long.
        return ["--whole-order"] if self.seed % 12 in (0, 6) else []

    def formulas(self, setup, plan, proof):
        question = rotas.Rota(setup) if setup.sessions else every_plan.OneSession(setup)
        chosen, faults = orders.read_berths(question, plan["berths"])
        if chosen is None:
            self.faults += faults
            return
        told = formulas.claimed(question, chosen, model.micro(plan.get("bound_h", 0)))
        said = self.told["claimed"]
        theirs = (*said["unserved"], said["missing"], *said["late"]), said["longest"], said["least_longest"]
        if theirs != (told.counted, told.longest_u, told.least_longest_u):
            self.faults.append(f"claimed is {theirs}, here {told}")
            return
        names = [claim["name"] for claim in self.told["claims"]]
        whole = bool(self.whole_order())
        self.question, self.numbers = question, told
        base, due = formulas.names(question, told), formulas.names(question, told, whole)
        # Of what comes after the longest time a claim may be left out.
        self.counts["later claims left out"] += len(set(due) - set(names))
        due = [name for name in due if name in base or name in names]
        if whole:
            later = said["later"]
            theirs = *map(tuple, (later["urgent"], later["spare"])), later["swaps"], later["hours"], later["watts"]
            if theirs != (told.later.urgent, told.later.spare, told.later.swaps, told.later.hours, told.later.watts):
                self.faults.append(f"later is {theirs}, here {told.later}")
        for name in due:
            try:
                ours = formulas.of(question, told, name)
            except formulas.TooManySets:
                self.counts["claims left out: too many sets of ports"] += 1
                due = [other for other in due if other != name]
                continue
            if name in names:
                differs = formulas.differ(ours, formulas.read((proof / f"{name}.opb").read_text()))
                self.faults += [f"{name}.opb: {differs}"] * (differs is not None)
                self.counts["rows compared"] += len(ours[1])
        if due != names:
            self.faults.append(f"claims are {names}, here {due}")

    def accepted(self, folder, name):
        return verified(self.veripb, folder / f"{name}.opb", folder / f"{name}.pbp")

    def verified(self, folder):
        """None where it is accepted, or why not."""
        ended = subprocess.run(
            [self.binary, "verify", self.folder / "setup.json", self.folder / "plan.json", "--json", "--proof", folder],
            capture_output=True, text=True, timeout=600,
        )
        if ended.returncode == 0:
            return None
        told = json.loads(ended.stdout)
        if ended.returncode not in (1, 2):
            self.faults.append(f"verify ends with {ended.returncode}")
        wrong = told.get("violations") or told.get("errors")
        return json.dumps(wrong[0])

    def change(self, proof):
        """One integer, anywhere."""
        files = sorted(path.name for path in proof.iterdir())
        name = self.rng.choice(files)
        text = (proof / name).read_text()
        places = [m.span() for m in re.finditer(r"(?<![\w.])-?\d+(?!\w)|(?<=x)\d+", text)]
        first, last = self.rng.choice(places)
        now = int(text[first:last])
        other = self.rng.choice([n for n in (now + 1, now - 1, 2 * now + 1, -now) if n != now])
        with tempfile.TemporaryDirectory() as made:
            changed = pathlib.Path(made) / "proof"
            shutil.copytree(proof, changed)
            (changed / name).write_text(f"{text[:first]}{other}{text[last:]}")
            self.counts["changes"] += 1
            if self.verified(changed) is None:
                self.faults.append(f"verify accepts {name} with {now} changed to {other} at {first}")
            if name == "claims.json":
                self.counts["changes that veripb does not see: claims"] += 1
            elif not self.accepted(changed, name.split(".")[0]):
                self.counts["changes that veripb refuses"] += 1
            else:
                self.counts[f"changes that are harmless to veripb, in {name[-3:]}"] += 1

    def one_lower(self, plan, proof):
        """The formula of a longest time of one step more than is had at least: the old proof is not one of it."""
        if "longest" not in [claim["name"] for claim in self.told["claims"]]:
            return
        told = self.numbers
        plan_u = max(self.times(plan), default=0)
        if plan_u != told.least_longest_u or plan_u >= model.NEVER_U:
            return
        more = formulas.Claimed(told.counted, told.longest_u, told.least_longest_u + 1)
        count, rows = formulas.of(self.question, more, "longest")
        with tempfile.TemporaryDirectory() as made:
            folder = pathlib.Path(made)
            lines = [" ".join(f"{n:+d} x{v}" for v, n in terms) + f" >= {least} ;" for terms, least in rows]
            text = f"* #variable= {count} #constraint= {len(rows)}\n" + "\n".join(lines) + "\n"
            (folder / "longest.opb").write_text(text)
            shutil.copy(proof / "longest.pbp", folder)
            self.counts["longest times one step lower"] += 1
            if self.accepted(folder, "longest"):
                self.faults.append("veripb accepts the proof for a longest time one step lower")

    def times(self, plan):
        field = "finish_h" if self.question.setup.sessions else "hours"
        if self.question.setup.aim == "promise":
            field = "promised_finish_h" if self.question.setup.sessions else "promised_h"
        return [model.micro(berth[field]) if field in berth else model.NEVER_U for berth in plan["berths"]]


def checked(work):
    seed, given = work
    with tempfile.TemporaryDirectory() as folder:
        case = Case(seed, given, pathlib.Path(folder))
        try:
            case.checked()
        except Exception as error:  # a broken file must not end the run
            case.faults.append(f"{type(error).__name__}: {error}")
        return seed, case.faults, case.counts


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--seeds", default="0..299", help="first..last, both included (default %(default)s)")
    arguments.add_argument("--veripb", default="veripb", help="path of the foreign checker (default %(default)s)")
    arguments.add_argument("--jobs", type=int, default=2, help="processes (default %(default)s)")
    given = arguments.parse_args()
    for program in (given.binary, given.veripb):
        if shutil.which(program) is None:
            arguments.error(f"{program} is not a program")
    first, last = map(int, given.seeds.split(".."))
    counts, failed = collections.Counter(), 0
    with multiprocessing.Pool(given.jobs) as workers:
        work = [(seed, given) for seed in range(first, last + 1)]
        for done, (seed, faults, counted) in enumerate(workers.imap_unordered(checked, work), 1):
            counts.update(counted)
            if done % 50 == 0:
                print(f"... {done} of {len(work)}", flush=True)
            if faults:
                failed += 1
                print(f"seed {seed}: {'; '.join(faults)}", flush=True)
    print(f"{failed} failed; " + "; ".join(f"{number} {what}" for what, number in sorted(counts.items())))
    cases = last - first + 1
    few = [
        what for what in ("with tables", "with sessions", "by promise", "with a tolerance")
        if counts[what] < 0.1 * cases
    ]
    if few and cases >= 100:
        print(f"too few {', '.join(few)} to say anything")
    if counts["without a proof: a limit struck"] > 0.1 * cases:
        print("too many without a proof")
        return 1
    return 1 if failed or (few and cases >= 100) or not counts["claims"] else 0


if __name__ == "__main__":
    sys.exit(main())
