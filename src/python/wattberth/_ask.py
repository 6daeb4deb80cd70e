"""What is asked, in one object, and the types of what is given."""

import json
import os
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypedDict

from wattberth.documents import Setup
from wattberth.errors import OptionsError

Document = Mapping[str, object] | str | bytes | bytearray | os.PathLike[str]
"""A document: a dict, JSON text, or the path of a file."""

SetupLike = Setup | Document | Sequence[str]
"""A setup: a document, a list as text, or a list of lines, one thing on each."""

Documents = Document | Sequence[Document]
"""A document, or several."""

Level = Literal["longest", "times", "moves", "everything"]
"""Up to where in the order of plans an answer is wanted."""


class Progress(TypedDict):
    """How far a search is."""

    steps: int
    nodes: int
    # Of the best plan so far: devices without a berth, watt-hours missing in them, late ones,
    # and the longest time, `inf` where that is never.
    unserved: int
    missing_wh: float
    late: int
    longest_h: float
    # The level that is being settled, what the best plan so far has of it, and what is proven.
    settling: str
    value: float
    bound: float


class RankProgress(TypedDict):
    """How far a ranking is, in kits."""

    planned: int
    settled: int
    kits: int


OnProgress = Callable[[Progress], object]
OnRankProgress = Callable[[RankProgress], object]


class Ask(NamedTuple):
    """A setup, and how long the search may go on. The private half reads it by its names."""

    setup: object
    charger: object = None
    shop: object = None
    aim: object = None
    budget: object = None
    time_limit: object = None
    until: object = None
    reshared: bool = False
    because: bool = False
    progress: Callable[[Any], object] | None = None


class Wanted(NamedTuple):
    """What of a ranking is wanted."""

    up_to: int
    by: str
    top: int | None
    unbeaten: bool
    times: Sequence[str]
    plans: int
    threads: int | None


class Night(NamedTuple):
    """What of a night is told."""

    reshared: bool
    rules: bool
    step_min: float | None


def counted(**options: object) -> None:
    """Refuses what is no number of things, or absent."""
    for name, value in options.items():
        is_count = isinstance(value, int) and 0 <= value < 2**32
        if value is not None and not is_count:
            raise OptionsError(f"`{name}` is a whole number from 0")


def answer(text: str) -> Any:
    """The dict of an answer's text."""
    return json.loads(text)
