"""The program of `textbook/` beside the solvers of `programs.py`: good_lp on HiGHS, as a user would write it.

It gets the rows and the choices, and answers with those that are taken; from its choices the longest time is read.
Its time is that from the document to the answer: building the model is a part of it, as it is of the library's.
"""

import json
import math
import pathlib
import subprocess

import highs
import model

HERE = pathlib.Path(__file__).resolve().parent / "textbook"
TARGET = HERE.parents[2] / "target" / "textbook"
_running = []


def said():
    lock = (HERE / "Cargo.lock").read_text() if (HERE / "Cargo.lock").exists() else ""
    found = []
    for block in lock.split("[[package]]"):
        fields = dict(line.split(" = ", 1) for line in block.splitlines() if " = " in line)
        if fields.get("name", "").strip('"') in ("good_lp", "highs", "highs-sys"):
            found.append(f"{fields['name'].strip(chr(34))} {fields['version'].strip(chr(34))}")
    return (", ".join(found) or "not built yet") + "; threads 1, mip_rel_gap 0, else as it comes; wall time"


def _program():
    if not _running:
        subprocess.run(["cargo", "build", "--quiet", "--release", "--target-dir", TARGET], cwd=HERE, check=True)
        binary = TARGET / "release" / "textbook"
        _running.append(subprocess.Popen([binary], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True))
    return _running[0]


def solve(program, clock):
    """The longest time of its answer, in whole micro-hours."""
    options = program.options
    finite = lambda value: None if math.isinf(value) else float(value)  # noqa: E731
    document = {
        "choices": [{"device": o.device, "hours": o.hours_u / model.MICRO} for o in options],
        "others": program.columns - len(options),
        "rows": [
            {"least": finite(low), "most": finite(high), "terms": [[c, float(v)] for c, v in terms.items()]}
            for low, high, terms in program.rows
        ],
        "limit_s": clock.limit_s,
    }
    running = _program()
    running.stdin.write(json.dumps(document) + "\n")
    running.stdin.flush()
    ms, taken = json.loads(running.stdout.readline())
    clock.used_s += ms / 1000
    if taken is None:
        raise highs.OutOfTime
    return max(program.times([options[c] for c in taken]))
