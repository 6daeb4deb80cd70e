"""What is raised where no answer can be given."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault in the input."""

    file: str
    """Where it is: empty for the setup itself, the name of a file that was read, or of the
    argument, as `charger` or `candidate[3]`."""
    line: int | None
    """From 1; `None` where the input was a dict, or no line is meant."""
    column: int | None
    """In characters, from 1."""
    path: str
    """Where in the document: `chargers[0].ports[1].pd_w`; empty in a list."""
    message: str
    """One sentence."""
    suggestion: str | None
    """The near name, where there is one."""

    def __str__(self) -> str:
        place = "" if self.line is None else f"{self.line}:{self.column}"
        at = ": ".join(part for part in (_joined(self.file, place), self.path) if part)
        near = f" (did you mean `{self.suggestion}`?)" if self.suggestion else ""
        return f"{at}: {self.message}{near}" if at else f"{self.message}{near}"


def _joined(file: str, place: str) -> str:
    return f"{file}:{place}" if file and place else file or place


class WattberthError(Exception):
    """Why there is no answer."""

    faults: list[Fault]
    """Every fault of the input; empty where something else is wrong."""

    index: int | None
    """Of `plan_many`: which setup it is about, from 0."""

    def __init__(self, message: str, faults: Iterable[Fault] = ()) -> None:
        super().__init__(message)
        self.faults = list(faults)
        self.index = None


class InputError(WattberthError, ValueError):
    """The input has faults: all that were found are in `faults`."""

    @classmethod
    def of(cls, faults: Iterable[Fault]) -> Self:
        """The error of these faults, one on each line of its message."""
        faults = list(faults)
        return cls("\n".join(str(fault) for fault in faults), faults)


class OptionsError(WattberthError, ValueError):
    """An option is outside its range."""


class NoPlanInTimeError(WattberthError):
    """A limit struck before anything was found; `assign` always has a plan."""


class NoProofError(WattberthError):
    """There is no proof of a plan: it is not legal or not best, or a limit struck first."""


class InternalError(WattberthError, RuntimeError):
    """Our own fault: an answer did not survive its check and was withheld."""
