"""The Python of the guide's page: every block is run, in order, and prints what stands below it.

    UPDATE_GUIDE=1 pytest tests/outside/test_python_page.py     # write the outputs anew
"""

import contextlib
import io
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PAGE = ROOT / "src" / "guide" / "python.md"
OTHERS = ["matplotlib", "numpy", "pandas"]
BLOCK = re.compile(r"```python\n(.*?)```\n(?:\n```text\n(.*?)```\n)?", re.DOTALL)


def ran(page: str) -> str:
    """The page with what its blocks print."""
    names: dict[str, object] = {"__name__": "page"}

    def block(found: re.Match[str]) -> str:
        printed = io.StringIO()
        line = page.count("\n", 0, found.start(1))
        with contextlib.redirect_stdout(printed):
            exec(compile("\n" * line + found[1], str(PAGE), "exec"), names)
        shown = f"\n```text\n{printed.getvalue()}```\n" if printed.getvalue() else ""
        return f"```python\n{found[1]}```\n{shown}"

    return BLOCK.sub(block, page)


def test_every_block_prints_what_stands_below_it(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "fixtures", tmp_path / "fixtures")
    monkeypatch.chdir(tmp_path)
    page = PAGE.read_text(encoding="utf-8")
    fresh = ran(page)
    assert len(BLOCK.findall(page)) > 6, "the blocks are no longer found"
    assert (tmp_path / "chargers.svg").read_text(encoding="utf-8").count("<svg") == 1
    if os.environ.get("UPDATE_GUIDE"):
        PAGE.write_text(fresh, encoding="utf-8")
    else:
        assert fresh == page


def test_the_blocks_have_the_right_types(tmp_path):
    """What the page shows of types is so: mypy on all of its blocks as one program."""
    blocks = BLOCK.findall(PAGE.read_text(encoding="utf-8"))
    program = tmp_path / "page.py"
    program.write_text("\n".join(block for block, _ in blocks), encoding="utf-8")
    # What is large and not ours is not looked into.
    others = "".join(f"[mypy-{name}.*]\nfollow_imports = skip\nignore_missing_imports = true\n" for name in OTHERS)
    config = tmp_path / "mypy.ini"
    config.write_text(f"[mypy]\n{others}", encoding="utf-8")
    checked = subprocess.run(
        [sys.executable, "-m", "mypy", "--config-file", str(config), str(program)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert checked.returncode == 0, checked.stdout + checked.stderr
