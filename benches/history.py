"""Times versions of this library beside each other: the bench `levels` of each commit, in one run on one machine.

    python3 benches/history.py 80187b8 974fdde HEAD --aim best --level longest
    python3 benches/history.py dcd77cc b86712f HEAD --aim promise --level everything

Each commit is checked out below target/history and built as its own Cargo.toml says, with this machine's compiler. Then
every family and size goes through all versions by turns, and again for every round; of each plan the fastest counts. The
families make the same setups in every version. Where two versions prove another longest time of the same setup, the
model has changed between them; that is said, and such a setup counts for none.

A version whose bench knows no `--aim` plans as it did by default. A family that it does not have is left out ("-").
"""

import argparse
import collections
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys

import means

ROOT = pathlib.Path(__file__).resolve().parents[1]
WORK = ROOT / "target" / "history"
FAMILIES = "unlike-mid,unlike-bind,groups-mid,groups-bind,tables,chargers,crowded,deadlines,rota,scarce"
PLAN = re.compile(r" *seed +(\d+) (\w+) +([\d.]+) ms +(proven|UNPROVEN) +longest (\S+) h, (\d+) unserved, (\d+) late")
# Longer than before by less than this is what two runs of the same program differ by.
NOISE = 1.10


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("commits", nargs="+", help="the versions, the oldest first")
    arguments.add_argument("--families", default=FAMILIES, help="(%(default)s)")
    arguments.add_argument("--sizes", default="16", help="numbers of devices (%(default)s)")
    arguments.add_argument("--seeds", default="8", help="how many seeds, or FIRST..LAST (%(default)s)")
    arguments.add_argument("--level", default="everything", help="longest, times or everything (%(default)s)")
    arguments.add_argument("--aim", choices=["best", "promise"], required=True, help="where the version's bench can")
    arguments.add_argument("--limit-s", default="2", help="seconds that one plan may take (%(default)s)")
    arguments.add_argument("--rounds", type=int, default=2, help="how often all of it is run (%(default)s)")
    arguments.add_argument(
        "--profile", default="bench", help="that all are built with; `test` is sooner there, with assertions (%(default)s)"
    )
    arguments.add_argument("--target-dir", default=str(WORK / "target"), help="where they are built (%(default)s)")
    arguments.add_argument("--build", action="store_true", help="only build")
    given = arguments.parse_args()
    versions = [Version(commit) for commit in given.commits]
    for version in versions:
        version.build(given)
    if given.build:
        return 0
    tell(given, versions)
    rows = []
    for family in given.families.split(","):
        for size in given.sizes.split(","):
            plans = [collections.defaultdict(list) for _ in versions]
            for _ in range(given.rounds):
                for version, own in zip(versions, plans):
                    for seed, plan in version.measure(family, size, given):
                        own[seed].append(plan)
            best = [fastest(own) for own in plans]
            changed = other_answers(best)
            for seed in changed:
                print(f"{family} {size} seed {seed}: the versions prove other times; left out")
            kept = [{seed: plan for seed, plan in own.items() if seed not in changed} for own in best]
            rows.append((family, size, kept))
            print(row(family, size, kept), flush=True)
    print("\n".join(worse(versions, rows)))
    return 0


class Version:
    """A commit, its checkout and its bench."""

    def __init__(self, commit):
        self.commit = git("rev-parse", "--short", f"{commit}^{{commit}}")
        self.date = git("show", "-s", "--format=%cs", commit)
        self.folder = WORK / self.commit
        self.knows_aim = '"--aim"' in git("show", f"{commit}:benches/levels.rs")
        self.program = None

    def build(self, given):
        if not self.folder.exists():
            git("worktree", "prune")
            git("worktree", "add", "--detach", str(self.folder), self.commit)
        # One folder of what is built: versions share the dependencies that they have in common.
        environment = {**os.environ, "CARGO_TARGET_DIR": os.path.abspath(given.target_dir), "CARGO_INCREMENTAL": "0"}
        ended = subprocess.run(
            ["cargo", "bench", "--quiet", "--locked", "--profile", given.profile, "--bench", "levels", "--no-run",
             "--message-format=json"],
            cwd=self.folder, env=environment, stdout=subprocess.PIPE, text=True, check=True,
        )  # fmt: skip
        made = [json.loads(line) for line in ended.stdout.splitlines()]
        programs = [m["executable"] for m in made if m.get("executable") and m["target"]["name"] == "levels"]
        self.program = WORK / f"levels-{self.commit}"
        shutil.copyfile(programs[0], self.program)
        self.program.chmod(0o755)

    def measure(self, family, size, given):
        """(seed, plan) of every seed."""
        options = ["--level", given.level, "--limit-s", given.limit_s, "--each"]
        aim = ["--aim", given.aim] if self.knows_aim else []
        ended = subprocess.run(
            [self.program, family, size, given.seeds, *options, *aim], capture_output=True, text=True, check=False
        )
        if ended.returncode == 2 and "no family" in ended.stderr:
            return
        if ended.returncode != 0:
            sys.exit(f"{self.commit}: {family} {size}: {ended.stderr}")
        for found in PLAN.finditer(ended.stdout):
            seed, _, ms, proven, longest, unserved, late = found.groups()
            # "Some(3.5)" of newer ones, "3.5" of older ones.
            hours = re.search(r"[\d.]+", longest)
            reached = (int(unserved), int(late), round(float(hours[0]), 5) if hours else None)
            # One that its steps ended early did not get there sooner.
            counted = float(ms) if proven == "proven" else max(float(ms), 1000 * float(given.limit_s))
            yield int(seed), (counted, proven == "proven", reached)


def git(*words):
    return subprocess.run(["git", *words], cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True).stdout.strip()


def fastest(plans):
    return {seed: min(own) for seed, own in plans.items()}


def other_answers(best):
    """Seeds of which two versions prove something else."""
    found = []
    for seed in sorted({seed for own in best for seed in own}):
        reached = {own[seed][2] for own in best if seed in own and own[seed][1]}
        if len(reached) > 1:
            found.append(seed)
    return found


def tell(given, versions):
    rustc = subprocess.run(["rustc", "--version"], capture_output=True, text=True, check=True).stdout.strip()
    print(f"{processor()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {rustc}; CPU time in ms")
    print(f"profile {given.profile}, aim {given.aim}, level {given.level}, limit {given.limit_s} s, seeds {given.seeds},")
    print(f"the fastest of {given.rounds} rounds")
    print(f"mean: {means.SAID}; in brackets how many were proven\n")
    print(f"| Family | Devices | {' | '.join(f'{version.commit}, {version.date}' for version in versions)} |")
    print("|---" * (2 + len(versions)) + "|", flush=True)


def processor():
    names = re.findall(r"^model name\s*: (.*)$", pathlib.Path("/proc/cpuinfo").read_text(), re.MULTILINE)
    return names[0] if names else "unknown"


def row(family, size, kept):
    return f"| `{family}` | {size} | {' | '.join(cell(own) for own in kept)} |"


def cell(plans):
    if not plans:
        return "-"
    mean = means.shifted_mean([ms for ms, _, _ in plans.values()])
    return f"{mean:.2f} [{proven(plans)} of {len(plans)}]"


def proven(plans):
    return sum(proven for _, proven, _ in plans.values())


def worse(versions, rows):
    """A line for whatever the last version does worse than one before it."""
    lines = []
    for family, size, kept in rows:
        for version, own in list(zip(versions, kept))[:-1]:
            if not own or not kept[-1]:
                continue
            before, now = (means.shifted_mean([ms for ms, _, _ in plans.values()]) for plans in (own, kept[-1]))
            if now > NOISE * before:
                lines.append(f"worse than {version.commit}: {family} {size} takes {now / before:.2f} times as long")
            fewer, more = proven(kept[-1]), proven(own)
            if fewer < more:
                lines.append(f"worse than {version.commit}: {family} {size}, {fewer} proven, {more} before")
    return lines or ["nothing is worse than before"]


if __name__ == "__main__":
    sys.exit(main())
