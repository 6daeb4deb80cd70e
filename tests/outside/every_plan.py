"""The best plan of a small setup by trying every plan, the order of model.md section 5 applied to the list of them.

The one thing left out early is what leaves more devices out than a plan already found.
"""

from dataclasses import dataclass

import model


class TooMany(Exception):
    """There are more plans than may be tried."""


@dataclass(frozen=True)
class Best:
    """The value of each level, and the plan: of the places of level 3, the least that each could be."""

    unserved: tuple  # by priority 1, 2, 3, then missing micro-watt-hours
    late: tuple
    urgent_u: tuple
    spare_u: tuple
    sums: tuple  # of the levels that follow, in their order
    bound_u: int  # the least longest time of all berths, priority 3 as well
    plan: tuple

    def levels(self):
        return self.unserved, self.late, self.urgent_u, self.spare_u, self.sums, self.bound_u


class OneSession:
    """What is asked: the plan of model.md. `rotas.Rota` asks for more."""

    def __init__(self, setup):
        self.setup = setup

    def options(self):
        """By device."""
        return model.options_of(self.setup)

    def moments(self):
        """Tests of options, one for each time at which they meet: here there is one."""
        return [lambda option: True]

    def broken_rules(self, plan):
        return model.broken_rules(self.setup, plan)

    def promises(self, plan):
        return model.promises(self.setup, plan)

    def times(self, plan):
        """By the aim."""
        if self.setup.aim == "best":
            return [o.hours_u for o in plan]
        return [promise.hours_u for promise in self.promises(plan)]

    def promised_time(self, option, held):
        """The time of an option whose port is held at a power."""
        return model.promised_contract(self.setup, option.place, held)[1]

    def is_late(self, option, time_u):
        return self.setup.devices[option.device].is_late(time_u)

    def late(self, plan, times):
        """Late devices of priority 1, 2, 3."""
        found = [0, 0, 0]
        for option, time_u in zip(plan, times):
            found[self.setup.devices[option.device].priority - 1] += self.is_late(option, time_u)
        return tuple(found)

    def group(self, option):
        """What the promised time depends on, beside the other berths."""
        return option.place

    def compared(self, option):
        """Options of which this is the same can stand in for one another where one is better."""
        return None

    def sums(self):
        """The levels between the times and the ties: of each, what an option adds."""
        return [lambda o: model.WEIGHT[self.setup.devices[o.device].priority] * o.hours_u, lambda o: o.watts_u]

    def tie(self, option):
        return option.port, option.cable, model.micro(option.volts), model.micro(option.amps)


def best(setup, most=200_000, question=None):
    """The best plan, proven by having tried all; TooMany where more than `most` steps would be needed."""
    question = question or OneSession(setup)
    kept, first = [], None
    for chosen, times in _plans(question, most):
        key = (model.unserved(setup, chosen), question.late(chosen, times))
        if first is None or key < first:
            kept, first = [], key
        if key == first:
            kept.append((chosen, times))
    bound = min(max(times, default=0) for _, times in kept)
    urgent, kept = shortest_places(setup, kept, model.URGENT)
    spare, kept = shortest_places(setup, kept, model.SPARE)
    sums = []
    for value in question.sums():
        totals = [sum(map(value, chosen)) for chosen, _ in kept]
        sums.append(min(totals))
        kept = [plan for plan, total in zip(kept, totals) if total == sums[-1]]
    plan = min((chosen for chosen, _ in kept), key=lambda chosen: _tie_key(question, chosen))
    return Best(*first, urgent, spare, tuple(sums), bound, tuple(plan))


def _tie_key(question, chosen):
    """Device by device; no berth last."""
    by_device = {o.device: (0, question.tie(o)) for o in chosen}
    return [by_device.get(d, (1, ())) for d in range(len(question.setup.devices))]


def shortest_places(setup, plans, priorities):
    """(the least of each place, the plans that keep each of them within the tolerance), one place after the other."""
    listed = [(model.places_u(setup, *plan, priorities), plan) for plan in plans]
    leasts = []
    for place in range(len(listed[0][0])):
        least = min(places[place] for places, _ in listed)
        leasts.append(least)
        listed = [(places, plan) for places, plan in listed if places[place] <= least + setup.tolerance_u]
    return tuple(leasts), [plan for _, plan in listed]


def _plans(question, most):
    """Every legal plan with its times, but for those that leave more devices out than one before."""
    setup = question.setup
    own = [options for options in question.options() if options]
    promised, steps, fewest = {}, 0, None

    def extended(d, chosen, left):
        nonlocal steps, fewest
        steps += 1
        if steps > most:
            raise TooMany
        if fewest is not None and left > fewest:
            return
        if d == len(own):
            if all(_has_line(setup, list(filter(there, chosen))) for there in question.moments()):
                fewest = left
                yield chosen, times(chosen)
            return
        for option in own[d]:
            if all(
                _fits(setup, list(filter(there, chosen)), option) for there in question.moments() if there(option)
            ):
                yield from extended(d + 1, [*chosen, option], left)
        priority = setup.devices[own[d][0].device].priority
        yield from extended(d + 1, chosen, tuple(n + (priority == k) for k, n in enumerate(left, 1)))

    def times(chosen):
        """By the aim; what is promised depends on the places alone."""
        if setup.aim == "best":
            return question.times(chosen)
        places = tuple(map(question.group, chosen))
        if places not in promised:
            promised[places] = question.times(chosen)
        return promised[places]

    yield from extended(0, [], (0, 0, 0))


def _fits(setup, chosen, option):
    """Whether ports, cables and pools hold one more; more devices never make them hold more."""
    if any(o.port == option.port for o in chosen):
        return False
    if sum(o.cable == option.cable for o in chosen) >= setup.cables[option.cable].count:
        return False
    pools = (pool for pool in setup.pools if option.port in pool.ports)
    return all(model.used_u(setup, pool, [*chosen, option]) <= pool.max_u for pool in pools)


def _has_line(setup, chosen):
    for charger, lines in setup.lines.items():
        tiers = {o.port: o.tier_u for o in chosen if setup.ports[o.port].charger == charger}
        if tiers and not any(model.respected(line, tiers) for line in model.governing(lines, set(tiers))):
            return False
    return True
