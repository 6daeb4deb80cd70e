"""Rotas, from the page of decisions alone: where a berth may start, how long it lasts, and all of it as one integer program.

An option of model.py becomes one for every session with which its berth may start. Its `hours_u` is then the finishing
time, counted from the start of the first session, so that the levels of milp.py are those of a rota.
"""

from dataclasses import dataclass, fields

import milp
import model
from model import micro


@dataclass(frozen=True)
class Stay(model.Option):
    """An option with its sessions, from `first` to `last`; `hours_u` is when the device is full, from the start."""

    time_u: int
    first: int
    last: int
    held_u: int

    def during(self, session):
        return self.first <= session <= self.last


def ends_u(setup):
    """When each session ends, in whole micro-hours; each length is rounded before it is summed."""
    ends, now = [], 0
    for _, hours, _ in setup.sessions:
        now += micro(hours)
        ends.append(now)
    return ends


def stays_of(setup):
    """By device, every option from every session with which its berth may start."""
    ends = ends_u(setup)
    return [
        [stay(setup, ends, option, first) for option in own for first in starts(setup, setup.devices[d])]
        for d, own in enumerate(model.options_of(setup))
    ]


def at_hand(setup, device, session):
    return device.sessions is None or setup.sessions[session][0] in device.sessions


def starts(setup, device):
    return [s for s, (_, _, swap) in enumerate(setup.sessions) if swap and at_hand(setup, device, s)]


def stay(setup, ends, option, first):
    device = setup.devices[option.device]
    finish = (ends[first - 1] if first else 0) + option.hours_u
    last = first
    while finish > ends[last] and last + 1 < len(ends) and at_hand(setup, device, last + 1):
        last += 1
    ready_by = ends[-1] if device.ready_by_u is None else device.ready_by_u
    late = finish > ready_by or finish > ends[last]
    hours = sum(length for _, length, _ in setup.sessions[first : last + 1])
    kept = {f.name: getattr(option, f.name) for f in fields(model.Option) if f.name not in ("hours_u", "late")}
    return Stay(
        **kept, hours_u=finish, late=late, time_u=option.hours_u, first=first, last=last,
        held_u=micro(option.volts * option.amps * hours),
    )


class Program(milp.Program):
    """The rows of every session; a device has one berth in all."""

    def moments(self):
        return [lambda o, s=s: o.during(s) for s in range(len(self.setup.sessions))]

    def overdrawn(self, plan):
        overdrawn = super().overdrawn
        return [cover for s in range(len(self.setup.sessions)) for cover in overdrawn(there(plan, s))]

    def broken_rules(self, plan):
        return broken_rules(self.setup, plan)


def there(plan, session):
    return [o for o in plan if o.during(session)]


def broken_rules(setup, plan):
    """Every rule that a list of stays breaks, in exact integers."""
    devices = [o.device for o in plan]
    faults = [f"device {setup.devices[d].name} used twice" for d in set(devices) if devices.count(d) > 1]
    for s, (name, _, _) in enumerate(setup.sessions):
        faults += [f"{fault} in {name}" for fault in model.broken_rules(setup, there(plan, s))]
    return faults


def objective(setup, plan):
    """As model.objective, then the berths that start after the first session, and the watt-hours held."""
    return (*model.objective(setup, plan)[:-1], sum(o.first > 0 for o in plan), sum(o.held_u for o in plan))


def without_dominated(setup, stays):
    """As milp.without_dominated, from each session: what is full sooner lasts no longer, and is no later."""
    firsts = sorted({o.first for o in stays})
    return [o for first in firsts for o in milp.without_dominated(setup, [o for o in stays if o.first == first])]


def solve(setup, limit_s=60.0):
    """(objective vector, one best rota, number of programs solved)."""
    stays = [o for own in stays_of(setup) for o in without_dominated(setup, own)]
    if not stays:
        return objective(setup, []), [], 0
    program = Program(setup, stays, limit_s)
    allowed, chosen = milp.settle_times(program)
    if chosen:
        swapped = {i: 1 for i in allowed if stays[i].first > 0}
        if swapped:
            chosen = program.solve(swapped, allowed)
            program.row(0, sum(i in swapped for i in chosen), swapped)
        held = {i: stays[i].held_u / 1000 for i in allowed}  # milliwatt-hours: see highs.FEASIBILITY
        chosen = program.solve(held, allowed)
    plan = [stays[i] for i in chosen]
    return objective(setup, plan), plan, program.solves
