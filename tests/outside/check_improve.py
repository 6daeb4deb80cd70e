"""Compares every line of `wattberth improve` with the integer program on HiGHS.

    python check_improve.py BINARY --seeds 0..59

Each seed is a random setup (generate.py). Every single change is made here once more on the document, and the changed
setup is solved anew: the lines that the binary lists must be the changes that gain more than the tolerance in levels 1
to 3 of the order, with the numbers reached; the watts of a pool must give all that no limit gives, and one millionth of
a watt less must not. What costs nothing comes first.
One line per disagreement; exit code 1 on any, or where the integer program ran out of time on more than a tenth of the
setups.
"""

import copy
import sys

import checks
import every_plan
import milp
import model
import rotas
import setups

ADDED = "added here"


# What costs nothing comes first, then what is to be bought or got round.
FREE = ("swap", "pin")


def disagreements(_seed, document, binary, limit_s):
    _, found = checks.answer(binary, "improve", document, (0,))
    tolerance_u = model.micro(document.get("tolerance_h", 0.05))

    def solve(changed):
        setup = setups.resolve(changed)
        if "sessions" not in changed:
            best = milp.solve(setup, limit_s)
            return reach(every_plan.OneSession(setup), best)
        best = rotas.solve(setup, limit_s)
        return reach(rotas.Rota(setup), best)

    now = solve(document)
    faults = []
    if reached(found["now"]) != now[0]:
        faults.append(f"now is {reached(found['now'])}, here {now[0]}")
    if found["undecided"] != 0:
        faults.append(f"{found['undecided']} changes undecided")
    left = list(found["changes"])
    for named, changed in changes(document, now[0]):
        after = solve(changed)
        matching = [line for line in left if is_line_of(line, named)]
        if not better(after[1], now[1], tolerance_u):
            if matching:
                faults.append(f"{named} is listed and no help: {after}")
            continue
        if len(matching) != 1:
            faults.append(f"{named} helps and is listed {len(matching)} times: {after}")
            continue
        line = matching[0]
        left.remove(line)
        if reached(line) != after[0]:
            faults.append(f"{named}: {reached(line)}, here {after[0]}")
        if line["change"] == "pool":
            faults += least_watts(document, named, line, after[1], solve)
    if left:
        faults.append(f"listed and no change: {left}")
    return faults + unsorted(found["changes"], tolerance_u), {"lines": len(found["changes"])}


def least_watts(document, named, line, gain, solve):
    """The watts of a pool that give all that no limit gives, and one millionth of a watt less that does not."""
    if "to_w" not in line:
        return [f"{named}: no least watts"]
    least_u = model.micro(line["to_w"])
    enough, less = (
        solve(with_limit(document, named, watts_u / model.MICRO))[1] for watts_u in (least_u, least_u - 1)
    )
    faults = []
    if enough != gain:
        faults.append(f"{named}: {line['to_w']} W give {enough}, not {gain}")
    if less <= gain:
        faults.append(f"{named}: less than {line['to_w']} W would do")
    return faults


def reach(question, best):
    """(what a line tells of a plan, the levels 1 to 3 with the least of every place)."""
    times = sorted(question.times(best.plan), reverse=True)
    return (
        (*best.unserved, sum(best.late), tuple(times)),
        (best.unserved, best.late, best.urgent_u, best.spare_u),
    )


def better(after, now, tolerance_u):
    """Whether levels 1 to 3 gain; in the times, more than the tolerance at the first place that differs by as much."""
    if after[:2] != now[:2]:
        return after[:2] < now[:2]
    for mine, theirs in zip((*after[2], *after[3]), (*now[2], *now[3])):
        if abs(mine - theirs) > tolerance_u:
            return mine < theirs
    return False


def reached(line):
    """What a line reaches: times by the aim, never where there is none."""
    times = (model.NEVER_U if hours is None else model.micro(hours) for hours in line["times_h"])
    return *line["unserved_by_priority"], model.micro(line["missing_wh"]), line["late"], tuple(times)


def unsorted(lines, tolerance_u):
    """Free changes first; in each part, nothing after what it is surely better than."""
    faults = []
    for one, two in zip(lines, lines[1:]):
        free = [line["change"] in FREE for line in (one, two)]
        if free == [False, True]:
            faults.append(f"{two['change']} costs nothing and comes after {one['change']}")
        before, after = reached(one), reached(two)
        first_u, second_u = (times[0] if times else 0 for times in (before[-1], after[-1]))
        if free[0] == free[1] and (before[:-1], first_u) > (after[:-1], second_u + tolerance_u):
            faults.append(f"not sorted: {before} before {after}")
    return faults


def is_line_of(line, named):
    """Whether a line has all the fields that name a change, and of two pins no other."""
    return all(line.get(field) == value for field, value in named.items()) and (
        named["change"] != "pin" or ("port" in line, "cable" in line) == ("port" in named, "cable" in named)
    )


def changes(document, now):
    """Every single change: (the fields that name it, the changed document; of a pool the one without its limit)."""
    setup = setups.resolve(document)
    night_u = model.micro(document["session_h"]) if "session_h" in document else max(now[-1], default=0)
    if 0 < night_u < model.NEVER_U:
        at_h = (night_u + 1) // 2 / model.MICRO
        changed = copy.deepcopy(document)
        changed["sessions"] = [{"name": name, "hours": at_h} for name in ("one", "other")]
        for device in changed["devices"]:
            device.pop("sessions", None)
        yield {"change": "swap", "at_h": at_h}, changed
    for c, charger in enumerate(document["chargers"]):
        owner = {"charger": charger["name"]}
        ports = [port for port in setup.ports if port.charger == c]
        for pool in (pool for pool in setup.pools if pool.charger == c):
            named = {"change": "pool", **owner, "name": pool.name}
            yield named, with_limit(document, named, None)
        for p, port in enumerate(ports):
            best = highest(ports, lambda other: other.connector == port.connector)
            if model.micro(ports[best].cap_w) > model.micro(port.cap_w):
                changed = copy.deepcopy(document)
                listed = changed["chargers"][c]["ports"]
                listed[p] = {**listed[best], "name": port.name}
                yield {"change": "port", **owner, "name": port.name, "like": ports[best].name}, changed
        like = ports[highest(ports, lambda _: True)].name
        yield {"change": "port-added", **owner, "like": like}, with_port(document, c, like)
        if charger.get("combinations"):
            changed = copy.deepcopy(document)
            del changed["chargers"][c]["combinations"]
            yield {"change": "combinations", "name": charger["name"]}, changed
    reaches = [device.reach_m for device in setup.devices if device.inlet == "usb-c"]
    if reaches:
        changed = copy.deepcopy(document)
        changed.setdefault("cables", []).append({
            "name": ADDED, "from": "usb-c", "to": "usb-c", "watts": 240, "length_m": max(reaches),
        })
        yield {"change": "cable-added", "length_m": max(reaches)}, changed
    split = expanded(document)
    for d, device in enumerate(setup.devices):
        pins = [field for field in ("port", "cable") if field in split["devices"][d]]
        if not device.needs_berth():
            continue
        for dropped in {(pin,) for pin in pins} | {tuple(pins)} - {()}:
            changed = copy.deepcopy(split)
            named = {"change": "pin", "name": device.name}
            for pin in dropped:
                named[pin] = changed["devices"][d].pop(pin)
            yield named, changed


def highest(ports, will_do):
    """The first with the highest cap."""
    return min((p for p, port in enumerate(ports) if will_do(port)), key=lambda p: -model.micro(ports[p].cap_w))


def with_limit(document, named, watts):
    changed = copy.deepcopy(document)
    charger = next(c for c in changed["chargers"] if c["name"] == named["charger"])
    if named["name"] == "total" and "max_w" in charger:
        holder, field = charger, "max_w"
    else:
        holder = next(pool for pool in charger["pools"] if pool["name"] == named["name"])
        field = "max_w"
        if watts is None:
            charger["pools"].remove(holder)
            return changed
    if watts is None:
        del holder[field]
    else:
        holder[field] = watts
    return changed


def with_port(document, c, like):
    """One more port like `like`: beside it in pools and lines; a line of it alone stays, and the new one has its own."""
    changed = copy.deepcopy(document)
    charger = changed["chargers"][c]
    model_port = next(port for port in charger["ports"] if port["name"] == like)
    charger["ports"].append({**model_port, "name": ADDED})
    for pool in charger.get("pools", []):
        if pool["ports"] != "all" and like in pool["ports"]:
            pool["ports"].append(ADDED)
    lines = []
    for line in charger.get("combinations", []):
        if like in line:
            lines.append({**line, ADDED: line[like]})
            if len(line) == 1:
                lines += [line, {ADDED: line[like]}]
        else:
            lines.append(line)
    if lines:
        charger["combinations"] = lines
    return changed


def expanded(document):
    """Counts written out: one entry for each device."""
    changed = copy.deepcopy(document)
    changed["devices"] = []
    for device in document["devices"]:
        count = device.get("count", 1)
        for i in range(count):
            one = {field: value for field, value in device.items() if field != "count"}
            if count > 1:
                one["name"] = f"{device['name']} {i + 1}"
            changed["devices"].append(one)
    return changed


def too_little(_cases, counts):
    return None if counts["lines"] else "no change helped anywhere: nothing was compared"


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..59", disagreements, too_little))
