"""Many changes of one source tree, compiled together: which one is active is chosen when a test is run.

A changed function has its body once for every change and once as it was, in the arms of one match. So one build serves
thousands of changes, and a change costs no more than the tests that reach it.
"""

import bisect
import dataclasses
import re

SWITCH = """\
//! Which change of a function is active, and which functions a run has reached.

use std::fs::File;
use std::io::Write;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

static ACTIVE: LazyLock<u32> = LazyLock::new(|| number("WATTBERTH_MUTANT").unwrap_or(0));
static RECORD: LazyLock<Option<File>> = LazyLock::new(|| {
    let path = std::env::var_os("WATTBERTH_REACHED")?;
    File::options().append(true).create(true).open(path).ok()
});
static REACHED: [AtomicBool; COUNT] = [const { AtomicBool::new(false) }; COUNT];

fn number(name: &str) -> Option<u32> {
    std::env::var(name).ok()?.parse().ok()
}

pub(crate) fn active(function: usize) -> u32 {
    if let Some(mut record) = RECORD.as_ref()
        && !REACHED[function].swap(true, Ordering::Relaxed)
    {
        let _ = record.write_all(format!("{function}\\n").as_bytes());
    }
    *ACTIVE
}
"""

# What may hold a brace that is none: comments, strings, characters (a lifetime has no closing quote).
TOKEN = re.compile(
    r"""//[^\n]*|/\*|b?c?r(?P<hashes>\#*)".*?"(?P=hashes)|b?c?"(?:\\.|[^"\\])*"|b?'(?:\\(?:u\{[^}]*\}|x..|.)|[^'\\])'|[{}]""",
    re.DOTALL | re.VERBOSE,
)


@dataclasses.dataclass
class Mutant:
    """One change of one function."""

    file: str
    # The module of the report that it is counted in.
    group: str
    what: str
    # From and to, as places in the text of the file.
    span: tuple
    scope: tuple
    replacement: str
    # The line that is changed: with `file` and `what` its name, which outlives lines above it.
    line: str
    line_number: int = 0
    # Which one of several like it on its line.
    nth: int = 1
    number: int = 0

    def name(self):
        nth = f" (number {self.nth})" if self.nth > 1 else ""
        return f"{self.file}: {self.what}{nth}: {self.line}"


class Lines:
    """Places in a text by line and column, both from 1, columns in characters."""

    def __init__(self, text):
        self.text = text
        self.starts = [0]
        for line in text.split("\n"):
            self.starts.append(self.starts[-1] + len(line) + 1)

    def place(self, at):
        return self.starts[at["line"] - 1] + at["column"] - 1

    def number(self, place):
        return bisect.bisect_right(self.starts, place)


def body(text, scope):
    """Where the block of a function begins and ends, its braces included; none where it has none."""
    depth, begin, last = 0, None, None
    at = scope[0]
    while at < scope[1]:
        token = TOKEN.search(text, at, scope[1])
        if token is None:
            break
        at = token.end()
        if token.group() == "/*":
            at = after_comment(text, token.end())
        elif token.group() == "{":
            if depth == 0:
                begin = token.start()
            depth += 1
        elif token.group() == "}":
            depth -= 1
            if depth == 0:
                last = (begin, token.end())
    return last


def after_comment(text, at):
    depth = 1
    while depth:
        mark = re.compile(r"/\*|\*/").search(text, at)
        if mark is None:
            return len(text)
        depth += 1 if mark.group() == "/*" else -1
        at = mark.end()
    return at


def outermost(mutants):
    """The mutants of one file by the function that holds them; one within another counts as that one's."""
    scopes = sorted({mutant.scope for mutant in mutants}, key=lambda scope: (scope[0], -scope[1]))
    held, outer = {}, None
    for scope in scopes:
        if outer is None or scope[0] >= outer[1]:
            outer = scope
        held[scope] = outer
    functions = {}
    for mutant in mutants:
        functions.setdefault(held[mutant.scope], []).append(mutant)
    return functions


def rewritten(text, mutants, first_function):
    """The text with all of its mutants, the lines of each arm, and the functions by number.

    Returns the text, a list of (first line, last line, mutants) and a dict from the number of a function to its
    mutants. What stands in a `const fn` cannot be switched, and is left as it is.
    """
    pieces, arms, functions, at, line = [], [], {}, 0, 1

    def add(piece):
        nonlocal line
        pieces.append(piece)
        line += piece.count("\n")

    number = first_function
    for scope, of_function in sorted(outermost(mutants).items()):
        block = body(text, scope)
        header = text[scope[0] : block[0]] if block else ""
        if block is None or re.search(r"\bconst\s+(unsafe\s+)?fn\b", header):
            continue
        functions[number] = of_function
        add(text[at : block[0]])
        whole = line
        add("{ match crate::mutants::active(%d) {\n" % number)
        for mutant in of_function:
            begin = line
            add("%d => {\n" % mutant.number)
            add(text[block[0] + 1 : mutant.span[0]] + mutant.replacement + text[mutant.span[1] : block[1] - 1])
            add("\n}\n")
            arms.append((begin, line - 1, [mutant]))
        add("_ => {" + text[block[0] + 1 : block[1] - 1] + "}\n} }")
        # An error that is in no arm is laid to all of them: the types of two arms, for one.
        arms.append((whole, line, of_function))
        at = block[1]
        number += 1
    add(text[at:])
    return "".join(pieces), arms, functions
