"""What the tests of the Python package share: the fixtures, and what the command answers."""

import json
import os
import random
import subprocess
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
FIXTURES = ROOT / "fixtures"
BINARY = os.environ.get("WATTBERTH_BINARY", str(ROOT / "target" / "release" / "wattberth"))


def command(*args: object, stdin: str | None = None) -> Any:
    """The document that the command prints, whatever its exit code."""
    words = [BINARY, *map(str, args)]
    ran = subprocess.run(words, input=stdin, capture_output=True, text=True, check=False)
    assert ran.returncode in (0, 1), ran.stderr
    return json.loads(ran.stdout)


def small(**more: object) -> dict[str, Any]:
    """A setup of one port and one device."""
    return {
        "chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}],
        "cables": [{"name": "braided"}],
        "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}],
        **more,
    }


def hard() -> dict[str, Any]:
    """A setup whose search takes far longer than anybody waits: 24 devices on three chargers."""
    dice = random.Random(1)
    ports = [{"name": f"C{n}", "pd_w": dice.choice([20, 27, 30, 45, 60, 65, 100])} for n in range(24)]
    chargers = []
    for n in range(3):
        own = ports[n::3]
        half = {"name": "half", "ports": [port["name"] for port in own[:4]], "max_w": watts(own[:4], 0.4)}
        chargers.append({"name": f"rack {n}", "ports": own, "max_w": watts(own, 0.45), "pools": [half]})
    devices = [
        {
            "name": f"tablet {n}",
            "battery_wh": round(dice.uniform(15, 80), 1),
            "pd_w": dice.choice([18, 27, 30, 45, 65]),
            "start_pct": dice.randrange(60),
        }
        for n in range(24)
    ]
    cables = [
        {"name": "braided", "count": 12},
        {"name": "lead", "count": 8, "max_a": 5, "e_marked": True},
        {"name": "old", "count": 8, "max_a": 2},
    ]
    return {"chargers": chargers, "cables": cables, "devices": devices}


def watts(ports: list[dict[str, Any]], part: float) -> int:
    """A part of what the ports give alone."""
    return round(part * sum(port["pd_w"] for port in ports))
