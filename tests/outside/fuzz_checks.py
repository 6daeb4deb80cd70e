"""What must hold of every run of the binary, whatever it was given."""

import json
import re
import unicodedata
import xml.etree.ElementTree as xml

CODES = {0, 1, 2, 3, 130}
COLUMNS = 80
# What only somebody who writes Rust, or a library for it, would say.
INTERNAL = re.compile(
    r"\b(enum|struct|unwrap|tuple|newtype|untagged|usize|isize|[iuf](8|16|32|64|128))\b|internally tagged|"
    r"called `(Option|Result)::|\b(Some|None|Ok|Err)\(|invalid type: |missing field `|unknown variant|"
    r"EOF while parsing|trailing characters|RUST_BACKTRACE|thread '"
)
ANSI = re.compile(r"\x1b\[[0-9;]*m")
# Control characters, and marks that change the direction of writing or cannot be seen.
HOSTILE = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ufffe\uffff]"
)
# The largest answer that is read as a whole.
MOST_READ = 64 << 20
# Fields of an answer that `verify` does not recompute, and says so.
# What `verify` says that it does not check; and another place that is as legal, since only a proof tells which is best.
UNCHECKED = re.compile(
    r"^(program|status|settled|bound_\w+|bounds\[\]\.bound|reshared\w*|steps|budget|cautions|because)\b|^berths\[\]\.(charger|port|cable)$"
)


def failures(case, ended, memory_mib):
    """Every sentence that says what does not hold."""
    found = list(of_process(case, ended, memory_mib))
    if ended.killed or ended.code not in CODES:
        return found  # The rest would only follow from it.
    stdout, stderr = ended.stdout.decode(errors="replace"), ended.stderr.decode(errors="replace")
    found += of_streams(case, ended, stdout, stderr)
    found += of_json(case, ended, stdout, stderr)
    if case.about.get("lines"):
        found += of_batch(case, ended, stdout)
    elif "--json" not in case.arguments and "data" not in case.about and case.name != "usage":
        found += of_text(case, stdout)
    found += of_accepted(case, ended)
    found += of_files(case, ended)
    found += of_expected(case, ended, stdout, stderr)
    return found


def of_process(case, ended, memory_mib):
    if ended.killed:
        yield f"not over after {ended.wall_s:.0f} s ({ended.cpu_s:.0f} s of CPU)"
    elif ended.code < 0:
        yield f"ended by signal {-ended.code}: “{tail(ended.stderr)}”"
    elif ended.code == 101 or b"panicked" in ended.stderr:
        yield f"panic: {panic(ended.stderr)}"
    elif ended.code not in CODES:
        yield f"exit code {ended.code}"
    if ended.peak_mib > memory_mib:
        yield f"took {ended.peak_mib:.0f} MiB"


def panic(stderr):
    at = re.search(rb"panicked at ([^\n]*)\n?([^\n]*)", stderr)
    return " ".join(part.decode(errors="replace") for part in at.groups()) if at else tail(stderr)


def tail(data):
    return " ".join(data[-300:].decode(errors="replace").split())


def of_streams(case, ended, stdout, stderr):
    """What is said, and where."""
    as_json = "--json" in case.arguments
    if ended.code in (2, 3, 130) and not stderr.strip() and not (as_json and stdout.strip()):
        yield f"exit code {ended.code} without a message"
    if ended.code == 2 and not as_json and stdout:
        yield "exit code 2, and something on standard output"
    if ended.code in (0, 1) and stderr and case.name != "usage":
        yield f"exit code {ended.code}, and on standard error: “{stderr[:200]}”"
    said = stderr + (stdout if ended.code in (2, 3) else "")
    word = INTERNAL.search(said)
    if word:
        yield f"internal words, {word.group(0)}: “{said[max(0, word.start() - 80):word.end() + 80]}”"
    raw = ANSI.sub("", stderr) if "always" in case.arguments else stderr
    mark = HOSTILE.search(raw)
    if mark:
        yield f"raw {ord(mark.group(0)):#x} on standard error: “{raw[max(0, mark.start() - 60):mark.end() + 20]!r}”"


def of_json(case, ended, stdout, stderr):
    """That data is data."""
    if "data" in case.about and ended.code == 0 or "--json" in case.arguments and case.name != "usage" and stdout:
        if len(stdout) > MOST_READ:
            return
        try:
            answer = json.loads(stdout, parse_constant=not_json)
        except (ValueError, RecursionError) as error:
            yield f"standard output is not JSON: “{error}”"
            return
        if ended.code == 2:
            yield from of_errors(case, answer)
    elif "--json" in case.arguments and case.name != "usage" and ended.code in (0, 1):
        yield "no JSON"


def not_json(constant):
    raise ValueError(f"{constant} is not JSON")


def of_errors(case, answer):
    """That every fault has a sentence and a place that there is."""
    errors = answer.get("errors") if isinstance(answer, dict) else None
    if not errors:
        yield "exit code 2 and no errors in the JSON"
        return
    for error in errors:
        message = error.get("message")
        if not isinstance(message, str) or not message.strip():
            yield f"an error without a message: “{json.dumps(error)}”"
        text = case.files.get(str(error.get("file")).removeprefix("./"))
        line, column = error.get("line"), error.get("column")
        if text is None or line is None:
            continue
        lines = text.split(b"\n")
        if (
            not 1 <= line <= len(lines)
            or column is not None
            and not 1 <= column <= len(lines[line - 1].decode(errors="replace")) + 1
        ):
            yield f"an error at a place that is not there: “{json.dumps(error)}”"


def of_batch(case, ended, stdout):
    """One answer for each line that is not blank."""
    if ended.code != 0:
        return
    expected = lines_of(case)
    answers = ended.stdout.split(b"\n")
    if answers.pop() != b"" or len(answers) != expected:
        yield f"{len(answers)} answers to {expected} lines"
    for answer in answers:
        try:
            read = json.loads(answer, parse_constant=not_json)
        except (ValueError, RecursionError) as error:
            yield f"an answer is not JSON: “{error}”"
            continue
        if not isinstance(read, dict) or ("plan" in read) == ("errors" in read) or "id" not in read:
            said = answer[:200].decode(errors="replace")
            yield f"an answer is neither a plan nor errors, or without its id: “{said}”"
        elif "errors" in read:
            messages = [error.get("message") for error in read["errors"]]
            if not messages or not all(isinstance(message, str) and message.strip() for message in messages):
                yield f"errors without a message: “{answer[:200].decode(errors='replace')}”"
            word = INTERNAL.search(" ".join(map(str, messages)))
            if word:
                yield f"internal words, {word.group(0)}: “{messages}”"


def lines_of(case):
    """Lines of a batch that are not blank."""
    if not case.about.get("lines"):
        return 0
    data = next(iter(case.files.values()))
    return sum(bool(line.strip(b" \t\n\x0c\r")) for line in data.split(b"\n"))


def of_text(case, stdout):
    """That text can be read on a narrow page, and holds nothing but text."""
    plain = ANSI.sub("", stdout) if "always" in case.arguments else stdout
    mark = HOSTILE.search(plain)
    if mark:
        around = plain[max(0, mark.start() - 60) : mark.end() + 20]
        yield f"raw {ord(mark.group(0)):#x} on standard output: “{around!r}”"
    for line in plain.split("\n"):
        if len(line) > COLUMNS // 2 and width(line) > COLUMNS and not alone(line):
            yield f"{width(line)} columns: “{line[:300]}”"
            return


def alone(line):
    """Whether one word is what makes the line long: it cannot be broken."""
    longest = max(map(width, line.split()), default=0)
    return longest > COLUMNS and width(line) - longest <= COLUMNS


def width(text):
    """Columns of a terminal."""
    columns, joined = 0, False
    for letter in text:
        wide = 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        hidden = joined or unicodedata.category(letter) in ("Mn", "Me", "Cf")
        columns += 0 if hidden else wide
        joined = letter == "\u200d"
    return columns


def of_accepted(case, ended):
    """That what was read as a document is JSON; a text that begins as none is a list."""
    if ended.code not in (0, 1) or case.name == "usage" or case.about.get("lines"):
        return
    for path, data in case.files.items():
        if path in case.outputs or path.startswith("candidates") or path == "the.line":
            continue
        if data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] not in (b"{", b"["):
            continue
        try:
            json.loads(data.decode("utf-8-sig"), parse_constant=not_json)
        except RecursionError:
            pass  # Deep, but JSON for all that Python knows.
        except ValueError as error:
            yield f"accepts what is not JSON: “{path}: {error}”"


def of_files(case, ended):
    """That no file was touched but those named, and that those are whole."""
    written = {path for path in case.outputs if path not in case.files}
    folders = [f"{path}/" for path, kind in case.outputs.items() if kind == "proof"]
    folders += [f"{path.rsplit('/', 1)[0]}/" for path in case.files if "/" in path]
    for path, data in ended.files.items():
        if path in case.files and path not in case.outputs and data != case.files[path]:
            yield f"the input “{path}” was changed"
        elif path not in case.files and path not in written and not f"{path}/".startswith((*folders, " ")):
            yield f"there is a new file: “{path}”"
    for path in case.files:
        if path not in ended.files:
            yield f"the input “{path}” is gone"
    for path, kind in case.outputs.items():
        # Of a proof, which is a folder, what is said in it.
        inside = f"{path}/claims.json" if kind == "proof" and path not in case.files else path
        data, before = ended.files.get(inside), case.files.get(path)
        if before is not None and data == before and (ended.code not in (0, 1) or case.name == "usage"):
            continue
        if before is not None and any(
            other.removeprefix("./") == path
            for option, other in zip(["", *case.arguments], case.arguments)
            if option not in ("--svg", "--html", "--proof")
        ):
            if data != before:
                yield f"the input “{path}” was replaced by the {kind}"
        elif data is not None:
            yield from of_output(kind, data)
        elif ended.code in (0, 1) and case.name != "usage":
            yield f"exit code {ended.code}, and the {kind} was not written"
    named = list(case.outputs)
    if (
        ended.code in (0, 1)
        and case.name not in ("usage", "verify")
        and len(named) < sum(case.arguments.count(option) for option in ("--svg", "--html", "--proof"))
    ):
        yield "two outputs have one name, and both are said to be written"


def of_output(kind, data):
    """That a file is whole."""
    try:
        if kind == "svg":
            xml.fromstring(data)
        elif kind == "html":
            if not data.rstrip().endswith(b"</html>"):
                yield "the HTML page has no end"
        else:
            json.loads(data, parse_constant=not_json)
    except (ValueError, RecursionError, xml.ParseError) as error:
        yield f"the {kind} is not whole: “{error}”"


def of_expected(case, ended, stdout, stderr):
    """What follows from the run before."""
    about = case.about
    # An option that random arguments give twice is refused for that alone.
    twice = "cannot be used multiple times" in stderr
    # `check` takes a bag, which has nothing to be planned with.
    a_bag = case.name == "check" and "as a bag" in stdout
    if "expect" in about and ended.code != about["expect"] and not twice and not a_bag:
        said = (stdout + stderr)[:300]
        yield f"exit code {ended.code}, where {about['follows']} asks for {about['expect']}: “{said}”"
    if "same" in about and ended.stdout != about["same"]:
        yield "another answer than the first time"
    if (
        case.name == "verify"
        and about.get("changed") in ("nothing", "answer")
        and not {"--proof", "sometimes"} & {*case.arguments}
    ):
        before, after = (parsed(text) for text in (about["answer"], case.files.get("plan.json", b"")))
        if about["changed"] == "nothing" and ended.code != 0:
            yield f"an answer of the binary's own is refused: “{(stdout + stderr)[:300]}”"
        elif ended.code == 0 and after is not None:
            other = difference(before, after, "")
            if other and not UNCHECKED.match(other):
                yield f"accepts an answer with another {other}"


def parsed(text):
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def difference(one, other, path):
    """Where two answers are not the same, numbers told apart by more than a rounding; indices left out."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in [*one, *(key for key in other if key not in one)]:
            if key not in one or key not in other:
                return f"{path}.{key}".lstrip(".") + (" (not there)" if key not in other else " (new)")
            found = difference(one[key], other[key], f"{path}.{key}".lstrip("."))
            if found:
                return found
        return None
    if isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            return f"{path}[] (another length)"
        return next(filter(None, (difference(a, b, f"{path}[]") for a, b in zip(one, other))), None)
    if (
        isinstance(one, (int, float))
        and isinstance(other, (int, float))
        and not isinstance(one, bool)
        and not isinstance(other, bool)
    ):
        return None if abs(one - other) <= 1.1e-6 else path
    return None if one == other else path
