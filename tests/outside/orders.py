"""What is wrong with the binary's berths: no option, a broken rule, or another plan than the best."""

import json

import documents
import model

UNSERVED = ("priority 1 unserved", "priority 2 unserved", "priority 3 unserved", "missing")


def read_berths(question, berths):
    """(the options that the berths name, None where one cannot be found; what is wrong)."""
    setup, every = question.setup, question.options()
    devices = {device.name: d for d, device in enumerate(setup.devices)}
    ports = {(setup.chargers[port.charger][0], port.name): p for p, port in enumerate(setup.ports)}
    sessions = {name: s for s, (name, _, _) in enumerate(setup.sessions)}
    chosen = []
    for berth in berths:
        device, port = devices[berth["device"]], ports[berth["charger"], berth["port"]]
        place = device, port, setup.cable_named(port, berth["cable"])
        matching = [
            o for o in every[device]
            if o.place == place and documents.near(berth["volts"], o.volts) and documents.near(berth["amps"], o.amps)
            and ("session" not in berth or o.first == sessions[berth["session"]])
        ]
        if not matching:
            return None, [f"{berth['device']}: no such option: {json.dumps(berth)}"]
        chosen.append(matching[0])
    return tuple(sorted(chosen, key=lambda o: o.device)), []


def faults(question, best, chosen):
    """The rules that are broken, and the first level of the order at which another plan is better."""
    return [*question.broken_rules(chosen), *_first(question, best, chosen)]


def _first(question, best, chosen):
    setup, times = question.setup, question.times(chosen)
    for name, got, least in zip(UNSERVED, model.unserved(setup, chosen), best.unserved):
        if got != least:
            return [f"{name}: {got} against {least}"]
    if question.late(chosen, times) != best.late:
        return [f"late by priority: {question.late(chosen, times)} against {best.late}"]
    for priorities, leasts in ((model.URGENT, best.urgent_u), (model.SPARE, best.spare_u)):
        for place, (got, least) in enumerate(zip(model.places_u(setup, chosen, times, priorities), leasts), 1):
            if got > least + setup.tolerance_u:
                return [f"place {place} of priorities {priorities}: {got}, the least is {least}"]
    for level, (value, least) in enumerate(zip(question.sums(), best.sums), 1):
        if sum(map(value, chosen)) != least:
            return [f"sum {level} after the times: {sum(map(value, chosen))} against {least}"]
    if chosen != best.plan:
        own = [question.tie(o) for o in chosen if o not in best.plan]
        return [f"ties: {own} where {[question.tie(o) for o in best.plan if o not in chosen]} is before it"]
    return []


def document_faults(question, told, ours, best, chosen):
    """Every number and name of the binary's document against ours for the same berths, and its bound."""
    setup = question.setup
    places = {device.name: d for d, device in enumerate(setup.devices)}

    def in_order(document):
        sorted_ = {
            "berths": sorted(document["berths"], key=lambda berth: places[berth["device"]]),
            "assumed": sorted(document.get("assumed", []), key=lambda entry: (places[entry["device"]], entry["field"])),
        }
        kept = {name: value for name, value in document.items() if name not in ("bound_h", "without_berth")}
        return kept | sorted_

    found = documents.differences(in_order(told), in_order(ours))
    left = {entry["device"] for entry in ours["without_berth"]}
    listed = {entry["device"] for entry in told["without_berth"]}
    in_need = {device.name for device in setup.devices if device.needs_berth()}
    if listed & in_need != left or listed & {setup.devices[o.device].name for o in chosen}:
        found.append(f"without_berth lists {sorted(listed)}, here {sorted(left)}")
    return found + _bound(question, told.get("bound_h"), best, chosen)


def _bound(question, bound_h, best, chosen):
    """It is no more than the least longest time, and no further below the plan's than the tolerance."""
    if best.bound_u >= model.NEVER_U:
        return [] if bound_h is None else [f"bound_h is {bound_h} and the longest never ends"]
    if bound_h is None:
        return ["there is no bound_h"]
    bound = model.micro(bound_h)
    if bound > best.bound_u + 1:
        return [f"bound_h is {bound_h}, {best.bound_u} millionths can be had"]
    longest = max(question.times(chosen), default=0)
    if not best.spare_u and bound < longest - question.setup.tolerance_u - 1:
        return [f"bound_h is {bound_h}, more than the tolerance below {longest} millionths"]
    return []
