"""What is asked around plans."""

from collections.abc import Sequence
from typing import Literal, cast

from wattberth import _wattberth as library
from wattberth._ask import (
    Ask,
    Documents,
    OnProgress,
    OnRankProgress,
    SetupLike,
    Wanted,
    answer,
    counted,
)
from wattberth.documents import (
    Aim,
    Calendar,
    Improvements,
    Luggage,
    Ranking,
    Setup,
    Sizing,
    Trip,
    Wishes,
)
from wattberth.errors import Fault, InputError


def check(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    bag: bool = False,
) -> list[Fault]:
    """Every fault of a setup; none where it is fine.

    With `bag` it is checked as `size` and `rank` take it: without chargers.
    """
    try:
        library.check(Ask(setup, charger), bag)
    except InputError as error:
        return error.faults
    return []


def read(setup: SetupLike, *, charger: Documents | None = None) -> Setup:
    """The document that a setup, as a list for example, was understood as."""
    return cast(Setup, answer(library.read(Ask(setup, charger))))


def to_list(setup: SetupLike, *, charger: Documents | None = None) -> str | None:
    """The setup as a list, every guess marked; `None` where it says what no list can."""
    return library.to_list(Ask(setup, charger))


def improve(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Improvements:
    """Each single change to a setup, planned again, and sorted by what it helps."""
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    return cast(Improvements, answer(library.improve(ask)))


def wish(
    setup: SetupLike,
    wish: str,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Wishes:
    """What would have to change for a wish, as `laptop by 6:00` or `everybody served`."""
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    return cast(Wishes, answer(library.wish(ask, wish)))


def size(
    setup: SetupLike,
    *,
    by_h: float | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Sizing:
    """The least charger for the devices and cables of a setup, full after `by_h` hours.

    Where that is absent, after the setup's `session_h`, or as early as any charger can.
    """
    ask = Ask(setup, aim=aim, budget=budget, time_limit=time_limit, progress=progress)
    return cast(Sizing, answer(library.size(ask, by_h)))


def rank(
    setup: SetupLike,
    candidates: Documents,
    *,
    up_to: int = 1,
    by: str = "longest",
    top: int | None = None,
    unbeaten: bool = False,
    times: Sequence[str] = (),
    plans: int = 0,
    aim: Aim | None = None,
    reshared: bool = False,
    threads: int | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnRankProgress | None = None,
) -> Ranking:
    """Candidate chargers for the devices and cables of a setup, the best first.

    Each is a charger, or `{"name": …, "chargers": […], "price": 40}`; text may have one on
    each line. `up_to` also forms kits of several. `by` sorts by `longest`, `weight`, `price`,
    `priority-1` or the name of a device; `times` tells when `all`, `priority-1` or a device
    is full. `top` and `unbeaten` want only the first, or those that no other beats, which is
    sooner done; the first `plans` have their plan.
    """
    ask = Ask(
        setup,
        aim=aim,
        budget=budget,
        time_limit=time_limit,
        reshared=reshared,
        progress=progress,
    )
    counted(up_to=up_to, top=top, plans=plans, threads=threads)
    wanted = Wanted(up_to, by, top, unbeaten, list(times), plans, threads)
    return cast(Ranking, answer(library.rank(ask, candidates, wanted)))


def calendar(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Calendar:
    """On which nights to charge what need not be charged every night."""
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    return cast(Calendar, answer(library.calendar(ask)))


def trip(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Trip:
    """A route: what plugs in where, each night's plan, what may fly, and what to pack."""
    ask = Ask(
        setup, charger, aim=aim, budget=budget, time_limit=time_limit, progress=progress
    )
    return cast(Trip, answer(library.trip(ask)))


def pack(
    setup: SetupLike,
    *,
    charger: Documents | None = None,
    shop: Documents | None = None,
    by: Literal["weight", "price", "pieces"] = "weight",
    alone: bool = False,
    aim: Aim | None = None,
    budget: int | None = None,
    time_limit: float | None = None,
    progress: OnProgress | None = None,
) -> Luggage:
    """What to buy and what to take, so that every night of the route goes well.

    `shop` replaces the setup's own. With `alone` it is the bag alone: not those that nothing
    beats, nor what each thing costs, which takes far longer.
    """
    ask = Ask(
        setup,
        charger,
        shop=shop,
        aim=aim,
        budget=budget,
        time_limit=time_limit,
        progress=progress,
    )
    return cast(Luggage, answer(library.pack(ask, by, alone)))
