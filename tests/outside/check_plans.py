"""Compares the plans of the `wattberth` binary with an independent integer program on HiGHS.

    python check_plans.py BINARY --seeds 0..299

Each seed is a random setup (generate.py). The binary's plan must be the best one in the whole order, to the last tie,
and every number of its document, at best and promised, that of model.md as this folder's Python reads it. One line per
disagreement; exit code 1 on any, or where the integer program ran out of time on more than a tenth of the setups.
"""

import sys

import checks
import documents
import every_plan
import milp
import model
import orders
import setups


def disagreements(_seed, document, binary, limit_s):
    setup = setups.resolve(document)
    question = every_plan.OneSession(setup)
    code, plan = checks.answer(binary, "assign", document, (0, 1), *checks.PATIENT)
    checks.settled(plan)
    best = milp.solve(setup, limit_s)
    chosen, faults = orders.read_berths(question, plan["berths"])
    if chosen is None:
        return faults, {}
    faults = orders.faults(question, best, chosen)
    faults += orders.document_faults(question, plan, documents.plan_document(setup, chosen), best, chosen)
    served = not sum(best.unserved[:3]) and not sum(best.late)
    if (code == 0) != served:
        faults.append(f"exit code {code} with {best.unserved[:3]} unserved and {best.late} late")
    promised = model.promises(setup, chosen)
    return faults, {
        "chosen by what is promised": int(setup.aim == "promise"),
        "promise less than is asked": int(any(p.grant_u < o.demand_u for p, o in zip(promised, chosen))),
        "with something assumed": int(any(device.assumed for device in setup.devices)),
    }


def too_little(cases, counts):
    wanted = {"chosen by what is promised": 0.5, "promise less than is asked": 0.3, "with something assumed": 0.3}
    few = [what for what, share in wanted.items() if counts[what] < share * cases]
    return f"too few {', '.join(few)} to say anything" if few and cases >= 100 else None


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..299", disagreements, too_little))
