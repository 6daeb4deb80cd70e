"""The licences of all that the package is built and tested with, and whether they are allowed.

    python3 licences.py [MANIFEST …]

What is allowed stands in .ci/deny.toml. Of "A OR B" one must be, of "A AND B" both. Without a manifest it is that of the
repository, with all features. A line for each licence, what goes into the binary apart from what tests and builds alone
need. Exit code 1 where a crate has none that is allowed. Nothing but Python and cargo is needed.
"""

import collections
import json
import pathlib
import re
import subprocess
import sys
import tomllib

ROOT = pathlib.Path(__file__).parents[2]


def allows(expression, allowed):
    """Whether the allowed licences satisfy an SPDX expression; "/" is how "OR" was once written."""
    words = re.findall(r"[()]|[^\s()]+", (expression or "").replace("/", " OR "))

    def one():
        word = words.pop(0)
        if word == "(":
            found = either()
            words.pop(0)
            return found
        # An exception only adds to what a licence permits.
        if words[:1] == ["WITH"]:
            del words[:2]
        return word in allowed

    def both():
        found = one()
        while words[:1] == ["AND"]:
            words.pop(0)
            found = one() and found
        return found

    def either():
        found = both()
        while words[:1] == ["OR"]:
            words.pop(0)
            found = both() or found
        return found

    return bool(words) and either()


def shipped(told):
    """What the package is linked with: neither for tests nor for builds alone."""
    nodes = {node["id"]: node for node in told["resolve"]["nodes"]}
    left, found = list(told["workspace_members"]), set()
    while left:
        for dependency in nodes[left.pop()]["deps"]:
            kinds = {kind["kind"] for kind in dependency["dep_kinds"]}
            if None in kinds and dependency["pkg"] not in found:
                found.add(dependency["pkg"])
                left.append(dependency["pkg"])
    return found


def main(manifests):
    allowed = set(tomllib.loads((ROOT / ".ci/deny.toml").read_text())["licenses"]["allow"])
    failed = 0
    for manifest in manifests or [ROOT / "Cargo.toml"]:
        command = ["cargo", "metadata", "--locked", "--all-features", "--format-version", "1", "--manifest-path", manifest]
        told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        linked = shipped(told)
        by_licence = collections.defaultdict(lambda: ([], []))
        for package in sorted(told["packages"], key=lambda package: package["name"]):
            if package["id"] in told["workspace_members"]:
                continue
            licence = package["license"] or "none"
            by_licence[licence][package["id"] not in linked].append(package["name"])
            if not allows(package["license"], allowed):
                failed += 1
                print(f"{package['name']} {package['version']}: {licence} is none of {', '.join(sorted(allowed))}")
        for licence, (ours, others) in sorted(by_licence.items()):
            print(f"{licence}: {', '.join(ours) or 'none'}; for tests and builds alone: {', '.join(others) or 'none'}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
