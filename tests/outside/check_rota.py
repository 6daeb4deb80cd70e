"""Compares the rotas of the `wattberth` binary with an independent integer program on HiGHS.

    python check_rota.py BINARY --seeds 0..299

Each seed is a random setup with sessions (generate.py, `night`). The binary's objective vector, the rota's legality in
every session and its document's numbers must be those of the page of decisions as this folder's Python reads it. One
line per disagreement; exit code 1 on any, or where the integer program ran out of time on more than a tenth of the
setups.
"""

import json
import sys

import checks
import generate
import model
import rotas
import setups

LEVELS = (
    "priority 1 unserved", "priority 2 unserved", "priority 3 unserved", "missing", "late", "times", "swaps", "held",
)


def disagreements(_seed, document, binary, limit_s):
    setup = setups.resolve(document)
    code, rota = checks.answer(binary, "rota", document, (0, 1))
    expected, _, _ = rotas.solve(setup, limit_s)
    chosen, faults = read_berths(setup, rota)
    if chosen is None:
        return faults, {}
    faults += rotas.broken_rules(setup, chosen)
    got = rotas.objective(setup, chosen)
    if got != expected:
        level = next(name for name, a, b in zip(LEVELS, got, expected) if a != b)
        which = "worse than" if got > expected else "better than (a fault of this check?)"
        faults.append(f"{level}: the binary's rota is {which} the integer program's: {got} against {expected}")
    faults += document_faults(setup, rota, chosen)
    served = sum(got[:3]) == 0 and got[4] == 0
    if (code == 0) != served:
        faults.append(f"exit code {code} with {sum(got[:3])} unserved and {got[4]} late")
    return faults, {
        "with swaps": int(got[6] > 0), "with a long berth": int(any(o.last > o.first for o in chosen)),
        "all in time": int(served), "late": int(got[4] > 0),
    }


def near(value, expected):
    """Printed numbers are rounded to 1e-6; where a half falls is not compared here."""
    return abs(value - expected) <= 1.01e-6


def read_berths(setup, rota):
    """The stays that the berths name, and what is wrong with them; none where one cannot be found."""
    devices = {device.name: d for d, device in enumerate(setup.devices)}
    ports = {(setup.chargers[port.charger][0], port.name): p for p, port in enumerate(setup.ports)}
    cables = {cable.name: c for c, cable in enumerate(setup.cables)}
    sessions = {name: s for s, (name, _, _) in enumerate(setup.sessions)}
    every = rotas.stays_of(setup)
    chosen, faults = [], []
    for berth in rota["berths"]:
        device = devices[berth["device"]]
        place = (ports[berth["charger"], berth["port"]], cables[berth["cable"]], sessions[berth["session"]])
        matching = [
            o for o in every[device]
            if (o.port, o.cable, o.first) == place and near(berth["volts"], o.volts) and near(berth["amps"], o.amps)
        ]
        if not matching:
            return None, [f"{berth['device']}: no such stay: {json.dumps(berth)}"]
        o = matching[0]
        chosen.append(o)
        exact = {
            "tier_w": o.tier_u, "port_w": o.watts_u, "hours": o.time_u, "finish_h": o.hours_u,
        }
        theirs = {name: model.micro(berth[name]) for name in exact}
        if theirs != exact or not near(berth["inlet_w"], o.inlet_w):
            faults.append(f"{berth['device']}: {theirs}, here {exact}")
        if (berth["late"], sessions[berth["until_session"]]) != (o.late, o.last):
            faults.append(f"{berth['device']}: late is {berth['late']} until {berth['until_session']}, here {o}")
    return chosen, faults


def document_faults(setup, rota, chosen):
    """Numbers of the document that follow from its berths."""
    vector = rotas.objective(setup, chosen)
    longest = vector[5][0] if vector[5] else 0
    ends = rotas.ends_u(setup)
    served = {o.device for o in chosen}
    left = [d.name for i, d in enumerate(setup.devices) if d.needs_berth() and i not in served]
    expected = {
        "status": "optimal", "unserved": sum(vector[:3]), "late": vector[4], "missing_wh": vector[3],
        "longest_h": longest, "bound_h": longest, "swaps": vector[6], "held_wh": vector[7],
        "without_berth": left,
        "sessions": [
            (name, start, end) for (name, _, _), start, end in zip(setup.sessions, [0, *ends], ends)
        ],
        "pools": [
            (name, setup.chargers[p.charger][0], p.name, model.used_u(setup, p, rotas.there(chosen, s)), p.max_u)
            for s, (name, _, _) in enumerate(setup.sessions) for p in setup.pools
        ],
    }
    said = {name: rota.get(name) for name in expected}
    for name in ("missing_wh", "longest_h", "bound_h", "held_wh"):
        said[name] = model.micro(said[name])
    said["without_berth"] = [entry["device"] for entry in rota["without_berth"]]
    said["sessions"] = [(s["name"], model.micro(s["start_h"]), model.micro(s["end_h"])) for s in rota["sessions"]]
    said["pools"] = [
        (p["session"], p["charger"], p["pool"], model.micro(p["used_w"]), model.micro(p["max_w"]))
        for p in rota["pools"]
    ]
    return [f"{name} is {said[name]}, here {ours}" for name, ours in expected.items() if said[name] != ours]


def too_little(cases, counts):
    wanted = {"with swaps": 0.3, "with a long berth": 0.15, "all in time": 0.03, "late": 0.2}
    few = [what for what, share in wanted.items() if counts[what] < share * cases]
    return f"too few {', '.join(few)} to say anything" if few and cases >= 100 else None


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..299", disagreements, too_little, generate.night))
