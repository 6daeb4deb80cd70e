"""Prints the plan document of a small setup, every plan of it tried.

    python plan.py SETUP.json [--rota]
    python plan.py --tiny 0..399 [--rota]

With --rota it is the rota document of the setup's sessions. The second form prints one line for each random setup of
that number (generate.py, `tiny` or `tiny_night`) with few enough plans: {"seed": …, "setup": {…}, "plan": {…}}, or
"rota". What words explain is left out: cautions, reasons, what limits a berth.
"""

import argparse
import json
import pathlib
import sys

import documents
import every_plan
import generate
import rotas
import setups

MOST_STEPS = 2_000_000
MOST_STEPS_OF_TINY = 60_000


def plan_of(document, most=MOST_STEPS):
    setup = setups.resolve(document)
    best = every_plan.best(setup, most)
    return documents.plan_document(setup, best.plan, best.bound_u)


def rota_of(document, most=MOST_STEPS):
    setup = setups.resolve(document)
    best = rotas.best(setup, most)
    return documents.rota_document(rotas.Rota(setup), best.plan, best.bound_u)


def lines(numbers, rota):
    first, last = map(int, numbers.split(".."))
    make, answer, name = (generate.tiny_night, rota_of, "rota") if rota else (generate.tiny, plan_of, "plan")
    for seed in range(first, last + 1):
        document = make(seed)
        try:
            yield {"seed": seed, "setup": document, name: answer(document, MOST_STEPS_OF_TINY)}
        except every_plan.TooMany:
            continue


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("setup", nargs="?", help="a setup document; - for standard input")
    arguments.add_argument("--tiny", metavar="FIRST..LAST", help="random setups, one line each")
    arguments.add_argument("--rota", action="store_true", help="the rota of the setup's sessions")
    given = arguments.parse_args()
    if (given.setup is None) == (given.tiny is None):
        arguments.error("one setup, or the numbers of random ones")
    if given.tiny:
        for line in lines(given.tiny, given.rota):
            print(json.dumps(line, ensure_ascii=False), flush=True)
        return 0
    text = sys.stdin.read() if given.setup == "-" else pathlib.Path(given.setup).read_text(encoding="utf-8")
    try:
        told = (rota_of if given.rota else plan_of)(json.loads(text))
    except every_plan.TooMany:
        print("more plans than can be tried here", file=sys.stderr)
        return 1
    print(json.dumps(told, indent=1, ensure_ascii=False))
    return 0


if __name__ == "__main__":
    sys.exit(main())
