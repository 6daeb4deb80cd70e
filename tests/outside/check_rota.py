"""Compares the rotas of the `wattberth` binary with an independent integer program on HiGHS.

    python check_rota.py BINARY --seeds 0..299

Each seed is a random setup with sessions (generate.py, `night`). The binary's rota must be the best one in the whole
order, to the last tie, legal in every session, and its document's numbers those of the page of decisions as this
folder's Python reads it. One line per disagreement; exit code 1 on any, or where the integer program ran out of time on
more than a tenth of the setups.
"""

import sys

import checks
import documents
import generate
import model
import orders
import rotas
import setups


def disagreements(_seed, document, binary, limit_s):
    setup = setups.resolve(document)
    rota = rotas.Rota(setup)
    code, told = checks.answer(binary, "rota", document, (0, 1))
    checks.settled(told)
    best = rotas.solve(setup, limit_s)
    chosen, faults = orders.read_berths(rota, told["berths"])
    if chosen is None:
        return faults, {}
    faults = orders.faults(rota, best, chosen)
    faults += orders.document_faults(rota, told, documents.rota_document(rota, chosen), best, chosen)
    faults += session_faults(rota, told)
    served = not sum(best.unserved[:3]) and not sum(best.late)
    if (code == 0) != served:
        faults.append(f"exit code {code} with {best.unserved[:3]} unserved and {best.late} late")
    promised = rota.promises(chosen)
    return faults, {
        "with swaps": int(best.sums[0] > 0), "with a long berth": int(any(o.last > o.first for o in chosen)),
        "all in time": int(served), "late": int(sum(best.late) > 0),
        "promise less than is asked": int(any(p.grant_u < o.demand_u for p, o in zip(promised, chosen))),
    }


def session_faults(rota, told):
    ours = [
        (name, start, end) for (name, _, _), start, end in zip(rota.setup.sessions, [0, *rota.ends], rota.ends)
    ]
    theirs = [(s["name"], model.micro(s["start_h"]), model.micro(s["end_h"])) for s in told["sessions"]]
    return [] if theirs == ours else [f"sessions are {theirs}, here {ours}"]


def too_little(cases, counts):
    wanted = {
        "with swaps": 0.3, "with a long berth": 0.15, "all in time": 0.03, "late": 0.2, "promise less than is asked": 0.2,
    }
    few = [what for what, share in wanted.items() if counts[what] < share * cases]
    return f"too few {', '.join(few)} to say anything" if few and cases >= 100 else None


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..299", disagreements, too_little, generate.night))
