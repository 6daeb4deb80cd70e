"""Rotas, from the page of decisions alone: where a berth may start, how long it lasts, what it is promised.

An option of model.py becomes one for every session with which its berth may start. Its `hours_u` is then the finishing
time, counted from the start of the first session, so that the levels of every_plan.py and milp.py are those of a rota.
"""

from dataclasses import dataclass, fields, replace

import every_plan
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


def at_hand(setup, device, session):
    return device.sessions is None or setup.sessions[session][0] in device.sessions


def starts(setup, device):
    return [s for s, (_, _, swap) in enumerate(setup.sessions) if swap and at_hand(setup, device, s)]


def there(plan, session):
    return [o for o in plan if o.during(session)]


class Rota(every_plan.OneSession):
    """What is asked: sessions, each with its own limits and promises."""

    def __init__(self, setup):
        super().__init__(setup)
        self.ends = ends_u(setup)

    def begins_u(self, session):
        return self.ends[session - 1] if session else 0

    def options(self):
        """By device, every option from every session with which its berth may start."""
        setup = self.setup
        return [
            [self.stay(option, first) for option in own for first in starts(setup, setup.devices[d])]
            for d, own in enumerate(model.options_of(setup))
        ]

    def stay(self, option, first):
        setup, device = self.setup, self.setup.devices[option.device]
        finish, last = self.begins_u(first) + option.hours_u, first
        while finish > self.ends[last] and last + 1 < len(self.ends) and at_hand(setup, device, last + 1):
            last += 1
        hours = sum(length for _, length, _ in setup.sessions[first : last + 1])
        kept = {f.name: getattr(option, f.name) for f in fields(model.Option)}
        made = Stay(
            **kept | {"hours_u": finish, "late": False}, time_u=option.hours_u, first=first, last=last,
            held_u=micro(option.volts * option.amps * hours),
        )
        return replace(made, late=self.is_late(made, finish))

    def moments(self):
        return [lambda o, s=s: o.during(s) for s in range(len(self.setup.sessions))]

    def broken_rules(self, plan):
        """Every rule that a list of stays breaks, in exact integers."""
        devices = [o.device for o in plan]
        faults = [f"device {self.setup.devices[d].name} used twice" for d in set(devices) if devices.count(d) > 1]
        for s, (name, _, _) in enumerate(self.setup.sessions):
            faults += [f"{fault} in {name}" for fault in model.broken_rules(self.setup, there(plan, s))]
        return faults

    def promises(self, plan):
        """Section 6 in each session by itself; the least grant of a berth's sessions counts."""
        granted = {}
        for s in range(len(self.setup.sessions)):
            mine = there(plan, s)
            for option, (grant, floor) in zip(mine, model.grants(self.setup, mine)):
                had = granted.get(option.device, (model.NEVER_U, model.NEVER_U))
                granted[option.device] = min(had[0], grant), min(had[1], floor)
        found = []
        for option in plan:
            promise = model.promise_of(self.setup, option, *granted[option.device])
            found.append(replace(promise, hours_u=self.finish_u(option, promise.hours_u)))
        return found

    def finish_u(self, option, time_u):
        return min(self.begins_u(option.first) + time_u, model.NEVER_U)

    def promised_time(self, option, held):
        return self.finish_u(option, super().promised_time(option, held))

    def is_late(self, option, time_u):
        """Beyond its own time, or not full when its berth ends."""
        ready_by = self.setup.devices[option.device].ready_by_u
        return time_u > min(self.ends[-1] if ready_by is None else ready_by, self.ends[option.last])

    def group(self, option):
        return *option.place, option.first, option.last

    def compared(self, option):
        # At best what is full sooner lasts no longer. Promised, a berth that ends sooner may be the worse.
        return option.first if self.setup.aim == "best" else (option.first, option.last)

    def sums(self):
        weighted, _ = super().sums()
        return [lambda o: int(o.first > 0), weighted, lambda o: o.held_u]

    def tie(self, option):
        return *super().tie(option), option.first


def best(setup, most=200_000):
    """The best rota, every one tried."""
    return every_plan.best(setup, most, Rota(setup))


def solve(setup, limit_s=60.0):
    """The best rota by the integer program."""
    return milp.solve(setup, limit_s, Rota(setup))
