"""A plan, and what is asked about it."""

from collections.abc import Mapping
from typing import TypedDict, cast

from wattberth import _wattberth as library
from wattberth._ask import (
    Ask,
    Document,
    Documents,
    Level,
    Night,
    OnProgress,
    SetupLike,
    answer,
)
from wattberth.documents import Aim, Because, Guest, Plan, Rota, Score, Timeline


class Violation(TypedDict):
    """A rule that is broken, or a number that is wrong."""

    path: str
    message: str


class Verification(TypedDict):
    """What a check found."""

    ok: bool
    violations: list[Violation]
    not_checked: list[str]


def assign(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    keep: Document | None = None,
    start: Document | None = None,
    aim: Aim | None = None,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Plan:
    """The best plan: which device goes on which port, through which cable.

    `charger` replaces the setup's own. With `keep`, a plan from before, it is of the best
    plans the one that moves the fewest devices; with `start` the search begins with that plan.
    `reshared` and `because` have it tell the time if the chargers share anew, and why it is no
    better.
    """
    ask = Ask(
        setup,
        charger,
        aim=aim,
        budget=budget,
        time_limit=time_limit,
        until=until,
        reshared=reshared,
        because=because,
        progress=progress,
    )
    return cast(Plan, answer(library.assign(ask, keep, start)))


def rota(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    start: Document | None = None,
    aim: Aim | None = None,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Rota:
    """The best rota: who charges in which session, where somebody swaps the plugs."""
    ask = Ask(
        setup,
        charger,
        aim=aim,
        budget=budget,
        time_limit=time_limit,
        until=until,
        reshared=reshared,
        because=because,
        progress=progress,
    )
    return cast(Rota, answer(library.rota(ask, start)))


def why(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> list[Because]:
    """Why the best plan is no better: every least reason, as in its `because`."""
    plan = assign(
        setup,
        charger=charger,
        aim=aim,
        because=True,
        budget=budget,
        time_limit=time_limit,
        progress=progress,
    )
    return plan.get("because", [])


def score(
    setup: SetupLike,
    berths: Document,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    reshared: bool = False,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Score:
    """Your own way of plugging in, held against the rules and the best plan.

    `berths` is `{"laptop": "C1", "phone": {"port": "C2", "cable": "white"}}`, or a plan.
    """
    ask = Ask(
        setup,
        charger,
        aim=aim,
        budget=budget,
        time_limit=time_limit,
        reshared=reshared,
        progress=progress,
    )
    return cast(Score, answer(library.score(ask, berths)))


def guest(
    setup: SetupLike,
    plan: Document,
    *,
    device: str | None = None,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Guest:
    """The best places for a device that comes late, and what each costs the others.

    The setup has the device already; `plan` is the one at hand without it.
    """
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    return cast(Guest, answer(library.guest(ask, plan, device)))


def timeline(
    setup: SetupLike,
    plan: Document | None = None,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    reshared: bool = False,
    rules: bool = False,
    step_min: float | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Timeline:
    """The night as it happens, of a plan or a rota; of the best plan where none is given.

    Every contract is kept to its end; with `reshared` chargers negotiate anew whenever a device
    needs less. `rules` adds what the plan comes to under each rule by which chargers share.
    `step_min` is the minutes between the even steps of the series.
    """
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    night = Night(reshared, rules, step_min)
    return cast(Timeline, answer(library.timeline(ask, plan, night)))


def verify(
    setup: SetupLike,
    plan: Document,
    *,
    proof: Mapping[str, str] | None = None,
    charger: Documents | None = None,
    aim: Aim | None = None,
) -> Verification:
    """Holds a plan or a rota against its setup: every rule and every number.

    With a `proof`, also whether nothing is better, as far as the proof goes.
    """
    files = None if proof is None else list(proof.items())
    ask = Ask(setup, charger, aim=aim)
    return cast(Verification, answer(library.verify(ask, plan, files)))


def prove(
    setup: SetupLike,
    plan: Document,
    *,
    whole: bool = False,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
) -> dict[str, str]:
    """A proof that no plan, or rota, is better: the texts of its files by their names.

    It reaches as far as the longest time; with `whole` it goes on through the order of plans.
    """
    ask = Ask(setup, charger, aim=aim, budget=budget, time_limit=time_limit)
    return dict(library.prove(ask, plan, whole))
