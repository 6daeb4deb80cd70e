"""The plan document of model.md section 7 for a plan, without what words explain: cautions, reasons, what limits."""

import model


def printed(value):
    """A number as documents print it: rounded to 1e-6, whole ones without a point."""
    rounded = model.micro(value) / model.MICRO
    return int(rounded) if rounded == int(rounded) else rounded


def from_micro(value_u):
    return printed(value_u / model.MICRO)


def plan_document(setup, chosen, bound_u=None):
    """The document of an optimal plan; `bound_u` is the least longest time by the aim."""
    chosen = sorted(chosen, key=lambda o: o.device)
    promised = model.promises(setup, chosen)
    late = sum(setup.devices[o.device].is_late(promise.hours_u) for o, promise in zip(chosen, promised))
    return _counted(setup, chosen, promised, late, bound_u) | {
        "berths": [berth(setup, option, promise) for option, promise in zip(chosen, promised)],
        "assumed": assumed(setup), "without_berth": without_berth(setup, chosen), "pools": pools(setup, chosen),
    }


def rota_document(rota, chosen, bound_u=None):
    """The same of a rota (`rotas.Rota`), by sessions."""
    setup = rota.setup
    chosen = sorted(chosen, key=lambda o: o.device)
    promised = rota.promises(chosen)
    late = sum(rota.is_late(o, promise.hours_u) for o, promise in zip(chosen, promised))
    swaps, _, held = (sum(map(value, chosen)) for value in rota.sums())
    names = [name for name, _, _ in setup.sessions]
    return _counted(setup, chosen, promised, late, bound_u) | {
        "swaps": swaps, "held_wh": from_micro(held),
        "berths": [_stay(rota, option, promise) for option, promise in zip(chosen, promised)],
        "assumed": assumed(setup), "without_berth": without_berth(setup, chosen),
        "pools": [
            {"session": name} | pool
            for s, name in enumerate(names) for pool in pools(setup, [o for o in chosen if o.during(s)])
        ],
    }


def _counted(setup, chosen, promised, promised_late, bound_u):
    """The numbers over all berths."""
    latest = [promise.hours_u for promise in promised]
    left = model.unserved(setup, chosen)
    document = {
        "version": 1, "status": "optimal", "aim": setup.aim,
        "longest_h": from_micro(max((o.hours_u for o in chosen), default=0)),
    }
    if model.NEVER_U not in latest:
        document["promised_longest_h"] = from_micro(max(latest, default=0))
    if bound_u is not None and bound_u < model.NEVER_U:
        document["bound_h"] = from_micro(bound_u)
    return document | {
        "unserved": sum(left[:3]), "missing_wh": from_micro(left[3]), "late": sum(o.late for o in chosen),
        "promised_late": promised_late,
    }


def berth(setup, option, promise):
    port = setup.ports[option.port]
    told = {
        "device": setup.devices[option.device].name, "charger": setup.chargers[port.charger][0], "port": port.name,
        "cable": setup.cables[option.cable].name, "volts": printed(option.volts), "amps": printed(option.amps),
        "tier_w": from_micro(option.tier_u), "port_w": from_micro(option.watts_u),
        "inlet_w": printed(option.inlet_w), "hours": from_micro(option.hours_u), "late": option.late,
    }
    if promise.watts_u is not None:
        told["promised_w"] = from_micro(promise.watts_u)
    if promise.hours_u < model.NEVER_U:
        told["promised_h"] = from_micro(promise.hours_u)
    return told


def _stay(rota, option, promise):
    """A berth of a rota: hours from its own start, and when it is full, from the first session's."""
    names = [name for name, _, _ in rota.setup.sessions]
    told = berth(rota.setup, option, promise) | {
        "hours": from_micro(option.time_u), "finish_h": from_micro(option.hours_u),
        "session": names[option.first], "until_session": names[option.last],
    }
    if "promised_h" in told:
        told["promised_finish_h"] = told["promised_h"]
        told["promised_h"] = from_micro(promise.hours_u - rota.begins_u(option.first))
    return told


def assumed(setup):
    """What kinds stand in for; the words in which a source is told are the program's own."""
    told = []
    for device in setup.devices:
        for field, value, low, high, _ in device.assumed:
            entry = {"device": device.name, "field": field, "value": value if isinstance(value, str) else printed(value)}
            if low is not None:
                entry |= {"low": printed(low), "high": printed(high)}
            told.append(entry)
    return told


def without_berth(setup, chosen):
    served = {o.device for o in chosen}
    return [
        {"device": device.name} for d, device in enumerate(setup.devices) if device.needs_berth() and d not in served
    ]


def pools(setup, chosen):
    return [
        {
            "charger": setup.chargers[pool.charger][0], "pool": pool.name,
            "used_w": from_micro(model.used_u(setup, pool, chosen)), "max_w": from_micro(pool.max_u),
        }
        for pool in setup.pools
    ]


def differences(told, ours, where=""):
    """Where a document differs from ours in any field that ours has; numbers may be a millionth apart."""
    if isinstance(ours, dict):
        return _differences_of_fields(told, ours, where)
    if isinstance(ours, list):
        if not isinstance(told, list) or len(told) != len(ours):
            return [f"{where} has {told!r}, here {ours!r}"]
        return [fault for k, own in enumerate(ours) for fault in differences(told[k], own, f"{where}[{k}]")]
    same = near(told, ours) if is_number(ours) and is_number(told) else told == ours
    return [] if same else [f"{where} is {told!r}, here {ours!r}"]


def _differences_of_fields(told, ours, where):
    if not isinstance(told, dict):
        return [f"{where} is {told!r}"]
    found = []
    for name in ours:
        found += differences(told.get(name), ours[name], f"{where}.{name}".strip("."))
    surplus = [name for name in ABSENT if name in told and name not in ours]
    return found + [f"{where}.{name} is {told[name]!r}, here absent".strip(".") for name in surplus]


# Fields whose absence says something.
ABSENT = ("promised_w", "promised_h", "promised_longest_h", "promised_finish_h", "bound_h")


def is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


def near(value, expected):
    """Printed numbers are rounded to 1e-6; where a half falls is not compared here."""
    return abs(value - expected) <= 1.01e-6
