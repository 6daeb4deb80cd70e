#!/usr/bin/env python3
"""Writes `wattberth/documents.py`, the types of all documents, from `fixtures/schemas/`.

    python3 src/python/generate.py            # write it anew
    python3 src/python/generate.py --check    # say whether it is stale; exit code 1 where it is

Needs no packages. What a schema says of ranges is left to the library; here are the fields,
which of them may be absent, their types, and the first sentence of what each one means.
"""

import json
import keyword
import re
import sys
import textwrap
from pathlib import Path

HERE = Path(__file__).resolve().parent
SCHEMAS = HERE.parent.parent / "fixtures" / "schemas"
WRITTEN = HERE / "wattberth" / "documents.py"

# What the library calls each document.
ROOTS = {
    "setup": "Setup",
    "plan": "Plan",
    "rota": "Rota",
    "score": "Score",
    "improve": "Improvements",
    "guest": "Guest",
    "wish": "Wishes",
    "size": "Sizing",
    "rank": "Ranking",
    "timeline": "Timeline",
    "sharing-rules": "SharingRules",
    "calendar": "Calendar",
    "trip": "Trip",
    "pack": "Luggage",
}

# Parts of those, or of lines and errors, which are no dicts here.
UNNAMED = {"bag", "candidate", "berths", "batch-line", "batch-answer", "faults"}

HEAD = '''"""The documents of the library as types, one field a line.

Written by `generate.py` from the JSON Schemas in `fixtures/schemas/`; not to be edited.
Numbers without a point in a document are whole numbers in its dict, so a `float` here may
be an `int`. A field that is `NotRequired` may be absent.
"""

from typing import {names}

'''


def plain(schema):
    """A schema without what says nothing of its type."""
    if isinstance(schema, dict):
        return {key: plain(value) for key, value in schema.items() if key != "description"}
    return [plain(one) for one in schema] if isinstance(schema, list) else schema


def definitions():
    """Every named part of every schema, the documents themselves included."""
    found = {}
    for path in sorted(SCHEMAS.glob("*.schema.json")):
        file = path.name.removesuffix(".schema.json")
        if file in UNNAMED:
            continue
        if file not in ROOTS:
            sys.exit(f"{path}: generate.py has no name for it, see ROOTS")
        root = json.loads(path.read_text(encoding="utf-8"))
        parts = root.pop("$defs", {})
        for key in ("$id", "$schema", "title"):
            root.pop(key, None)
        for name, schema in [*parts.items(), (ROOTS[file], root)]:
            # Within another document a document has no schema of its own.
            known = found.setdefault(name, schema)
            if len(schema.get("properties", ())) > len(known.get("properties", ())):
                found[name] = schema
            if bare(known) != bare(schema):
                sys.exit(f"{path}: `{name}` is not what it is in another schema")
    missing = set(ROOTS.values()) - set(found)
    if missing:
        sys.exit(f"{SCHEMAS}: there is no schema of {', '.join(sorted(missing))}")
    return found


def bare(schema):
    """What two definitions of the same name have in common."""
    schema = plain(schema)
    fields = schema.get("properties")
    if fields:
        schema = {**schema, "properties": {k: v for k, v in fields.items() if k != "$schema"}}
    schema.pop("additionalProperties", None)
    return schema


def camel(word):
    return "".join(part[:1].upper() + part[1:] for part in re.split(r"[^A-Za-z0-9]+", word))


def sentence(schema):
    """The first sentence of a description, without the marks of documentation."""
    text = " ".join(schema.get("description", "").split())
    return re.split(r"(?<=[^A-Z ]\.) (?=[A-Z`])", text)[0]


class Writer:
    def __init__(self, known):
        self.known = known
        self.blocks = {}
        self.begun = set()

    def name(self, name):
        """The name of a definition, which is written before what uses it."""
        if name not in self.blocks:
            if name in self.begun:
                # It holds itself.
                return f'"{name}"'
            self.begun.add(name)
            self.blocks[name] = self.definition(name, self.known[name])
        return name

    def definition(self, name, schema):
        if "properties" in schema and "oneOf" not in schema:
            return self.fields(name, schema)
        meaning = self.type(schema, name)
        about = textwrap.wrap(sentence(schema), 94, initial_indent="# ", subsequent_indent="# ")
        line = f"{name} = {meaning}"
        if len(line) > 96:
            words = re.split(r", (?=\")| \| ", meaning.removeprefix("Literal[").removesuffix("]"))
            if meaning.startswith("Literal["):
                inner = "".join(f"    {word},\n" for word in words)
                line = f"{name} = Literal[\n{inner}]"
            else:
                inner = "\n    | ".join(words)
                line = f"{name} = (\n    {inner}\n)"
        return "\n".join([*about, line])

    def fields(self, name, schema):
        required = set(schema.get("required", ()))
        odd, lines = [], []
        for field, value in schema["properties"].items():
            meaning = self.type(value, name + camel(field))
            if field not in required:
                meaning = f"NotRequired[{meaning}]"
            about = sentence(value)
            comments = textwrap.wrap(about, 92, initial_indent="# ", subsequent_indent="# ")
            if field.isidentifier() and not keyword.iskeyword(field):
                lines += [f"    {line}" for line in [*comments, f"{field}: {meaning}"]]
            else:
                # No class has a field of that name.
                odd.append(f'"{field}": {meaning}')
        base, before = "TypedDict", ""
        if odd:
            base = f"_{name}"
            before = f'{base} = TypedDict("{base}", {{{", ".join(odd)}}})\n\n\n'
        about = sentence(schema) or "A part of a document."
        about = textwrap.fill(f'"""{about}"""', 92, subsequent_indent="    ")
        body = "\n".join([f"    {about}", "", *lines]).rstrip()
        return f"{before}class {name}({base}):\n{body}"

    def type(self, schema, name):
        """The type of a schema; a part that has no name gets `name`."""
        if "$ref" in schema:
            return self.name(schema["$ref"].removeprefix("#/$defs/"))
        if "const" in schema:
            const = schema["const"]
            return "None" if const is None else f"Literal[{json.dumps(const)}]"
        if "enum" in schema:
            return f"Literal[{', '.join(json.dumps(one) for one in schema['enum'])}]"
        for several in ("oneOf", "anyOf"):
            if several in schema:
                return self.union(schema, schema[several], name)
        kind = schema.get("type")
        if isinstance(kind, list):
            each = [self.type({**schema, "type": one}, name) for one in kind]
            return " | ".join(each)
        if kind == "array":
            return f"list[{self.items(schema, name)}]"
        if kind == "object":
            return self.object(schema, name)
        plain_types = {"string": "str", "number": "float", "integer": "int", "boolean": "bool"}
        return {**plain_types, "null": "None"}.get(kind, "Any")

    def items(self, schema, name):
        if "prefixItems" in schema:
            each = [self.type(one, name) for one in schema["prefixItems"]]
            return " | ".join(dict.fromkeys(each))
        return self.type(schema["items"], name) if "items" in schema else "Any"

    def object(self, schema, name):
        if "properties" in schema:
            self.blocks[name] = self.fields(name, schema)
            return name
        other = schema.get("additionalProperties", True)
        return f"dict[str, {self.type(other, name)}]" if isinstance(other, dict) else "dict[str, Any]"

    def union(self, schema, choices, name):
        shared = schema.get("properties", {})
        each = []
        for number, choice in enumerate(choices):
            if "properties" in choice or shared:
                choice = {**choice, "type": "object"}
                choice["properties"] = {**shared, **choice.get("properties", {})}
                required = [*schema.get("required", ()), *choice.get("required", ())]
                choice["required"] = required
                choice.setdefault("description", schema.get("description", ""))
            each.append(self.type(choice, name + self.told_apart(choice, number)))
        words = [one.removeprefix("Literal[").removesuffix("]") for one in each]
        if all(one.startswith("Literal[") for one in each):
            return f"Literal[{', '.join(words)}]"
        return " | ".join(dict.fromkeys(each))

    @staticmethod
    def told_apart(choice, number):
        """What the name of one of several parts ends with."""
        fields = choice.get("properties", {})
        words = [value["const"] for value in fields.values() if isinstance(value.get("const"), str)]
        return camel(words[0]) if words else f"{number + 1}"


def written():
    writer = Writer(definitions())
    for root in ROOTS.values():
        writer.name(root)
    names = "".join(f'    "{name}",\n' for name in sorted(writer.blocks))
    blocks = "\n\n\n".join(writer.blocks.values())
    used = ["Any", "Literal", "NotRequired", "TypedDict"]
    used = [word for word in used if re.search(rf"\b{word}\b", blocks)]
    head = HEAD.replace("{names}", ", ".join(used))
    return f"{head}\n{blocks}\n\n\n__all__ = [\n{names}]\n"


def main():
    text = written()
    if sys.argv[1:] == ["--check"]:
        if not WRITTEN.exists() or WRITTEN.read_text(encoding="utf-8") != text:
            sys.exit("src/python/wattberth/documents.py is stale: python3 src/python/generate.py")
    elif sys.argv[1:]:
        sys.exit(__doc__)
    else:
        WRITTEN.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
