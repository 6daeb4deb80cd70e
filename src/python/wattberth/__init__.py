"""Which device goes on which charger port, so that the last one is full as early as possible.

    import wattberth

    plan = wattberth.assign(["charger: C1 65 W; C2 30 W; total 80 W", "laptop 30 % left", "phone"])
    for berth in plan["berths"]:
        print(berth["device"], berth["port"], berth["cable"], berth.get("promised_h"))

A setup is a dict, JSON text, a list (one thing on a line) or a path; an answer is a dict, of
which `wattberth.documents` has the types. What is wrong is raised as a `WattberthError` with
all its `faults`. Ctrl-C ends a search.

Everything is worked out from labels, not measured: follow the makers' instructions, leave
chargers uncovered, and unplug what gets hot, smells or is damaged.
"""

from importlib.metadata import version as _version

from wattberth._ask import (
    Document,
    Documents,
    Level,
    OnProgress,
    OnRankProgress,
    Progress,
    RankProgress,
    SetupLike,
)
from wattberth._many import LineAnswer, LineError, batch, batch_lines, plan_many
from wattberth._plans import (
    Verification,
    Violation,
    assign,
    guest,
    prove,
    rota,
    score,
    timeline,
    verify,
    why,
)
from wattberth._questions import (
    calendar,
    check,
    improve,
    pack,
    rank,
    read,
    size,
    to_list,
    trip,
    wish,
)
from wattberth.documents import Plan, Ranking, Rota, Setup
from wattberth.errors import (
    Fault,
    InputError,
    InternalError,
    NoPlanInTimeError,
    NoProofError,
    OptionsError,
    WattberthError,
)

__version__ = _version("wattberth")

__all__ = [
    "Document",
    "Documents",
    "Fault",
    "InputError",
    "InternalError",
    "Level",
    "LineAnswer",
    "LineError",
    "NoPlanInTimeError",
    "NoProofError",
    "OnProgress",
    "OnRankProgress",
    "OptionsError",
    "Plan",
    "Progress",
    "RankProgress",
    "Ranking",
    "Rota",
    "Setup",
    "SetupLike",
    "Verification",
    "Violation",
    "WattberthError",
    "assign",
    "batch",
    "batch_lines",
    "calendar",
    "check",
    "guest",
    "improve",
    "pack",
    "plan_many",
    "prove",
    "rank",
    "read",
    "rota",
    "score",
    "size",
    "timeline",
    "to_list",
    "trip",
    "verify",
    "why",
    "wish",
]
