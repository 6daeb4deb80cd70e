"""Many setups at once."""

from collections.abc import Iterable, Iterator
from typing import Any, Literal, TypedDict, cast, overload

from wattberth import _wattberth as library
from wattberth._ask import Ask, Documents, Level, SetupLike, answer, counted
from wattberth.documents import Aim, Plan
from wattberth.errors import WattberthError


class LineError(TypedDict, total=False):
    """What is wrong with a line."""

    path: str
    message: str
    column: int
    suggestion: str


class LineAnswer(TypedDict, total=False):
    """The answer to a line: its `plan`, or its `errors`."""

    id: Any
    plan: Plan
    errors: list[LineError]


@overload
def plan_many(
    setups: Iterable[SetupLike | tuple[SetupLike, Documents]],
    threads: int | None = None,
    *,
    keep_errors: Literal[False] = False,
    aim: Aim | None = None,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
) -> list[Plan]: ...
@overload
def plan_many(
    setups: Iterable[SetupLike | tuple[SetupLike, Documents]],
    threads: int | None = None,
    *,
    keep_errors: bool,
    aim: Aim | None = None,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
) -> list[Plan | WattberthError]: ...
def plan_many(
    setups: Iterable[SetupLike | tuple[SetupLike, Documents]],
    threads: int | None = None,
    *,
    keep_errors: bool = False,
    aim: Aim | None = None,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
) -> list[Plan] | list[Plan | WattberthError]:
    """The plan of each setup, in their order: what `assign` gives, on all cores.

    An item is a setup, or a tuple of a setup and the charger that replaces its own. The limits
    are of each plan. The first setup with faults raises, with its place as `index`; with
    `keep_errors` the error stands in the plan's place, and the others are planned all the same.
    """
    counted(threads=threads)
    work = library.Plans(threads)
    plans: list[Plan | WattberthError] = []
    # What was refused before it was planned, by its place.
    refused: dict[int, WattberthError] = {}

    def add(item: Plan | WattberthError) -> None:
        if isinstance(item, WattberthError):
            item.index = len(plans)
            if not keep_errors:
                raise item
        plans.append(item)

    def take(wait: bool) -> bool:
        if len(plans) in refused:
            add(refused.pop(len(plans)))
            return True
        try:
            text = work.take(wait)
        except WattberthError as error:
            add(error)
            return True
        if text is not None:
            add(cast(Plan, answer(text)))
        return text is not None

    try:
        for index, item in enumerate(setups):
            setup, charger = _parts(item)
            ask = Ask(
                setup,
                charger,
                aim=aim,
                budget=budget,
                time_limit=time_limit,
                until=until,
                reshared=reshared,
                because=because,
            )
            try:
                work.give(ask)
            except WattberthError as error:
                refused[index] = error
            while take(work.is_full):
                pass
        while take(True):
            pass
    finally:
        work.close()
    return plans


def _parts(item: SetupLike | tuple[SetupLike, Documents]) -> tuple[object, object]:
    """A setup with its charger, if it has one: of a tuple of two."""
    if isinstance(item, tuple) and len(item) == 2:
        return item[0], item[1]
    return item, None


def batch_lines(
    lines: Iterable[str | bytes],
    threads: int | None = None,
    *,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
) -> Iterator[str]:
    """Answers lines of JSON, as of an open file, with lines of JSON, in their order.

    A line is `{"id": any, "setup": {…}, "charger": {…}}`, its answer `{"id": …, "plan": {…}}`
    or `{"id": …, "errors": […]}`, with a line break at its end. Blank lines are passed over.
    Lines are taken as answers are: at most 1 024, or 16 MiB, ahead; with one thread none.
    """
    counted(threads=threads)
    ask = Ask(
        None,
        budget=budget,
        time_limit=time_limit,
        until=until,
        reshared=reshared,
        because=because,
    )
    return _answered(library.Lines(ask, threads), lines)


def _answered(work: library.Lines, lines: Iterable[str | bytes]) -> Iterator[str]:
    try:
        for line in lines:
            work.give(line)
            while (text := work.take(work.is_full)) is not None:
                yield text + "\n"
        work.end()
        while (text := work.take(True)) is not None:
            yield text + "\n"
    finally:
        work.close()


def batch(
    lines: Iterable[str | bytes],
    threads: int | None = None,
    *,
    reshared: bool = False,
    because: bool = False,
    until: Level = "everything",
    budget: int | None = None,
    time_limit: float | None = None,
) -> Iterator[LineAnswer]:
    """As `batch_lines`, each answer as a dict."""
    answers = batch_lines(
        lines,
        threads,
        reshared=reshared,
        because=because,
        until=until,
        budget=budget,
        time_limit=time_limit,
    )
    return (cast(LineAnswer, answer(text)) for text in answers)
