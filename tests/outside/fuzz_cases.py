"""What the fuzz run takes documents from, and one case of every subcommand from them."""

import json
import pathlib

import generate
from mutate import Mutator, parts_of
from running import Case

FIXTURES = pathlib.Path(__file__).resolve().parents[2] / "fixtures"
WEIGHTS = {
    "assign": 20,
    "rota": 10,
    "check": 10,
    "verify": 14,
    "score": 10,
    "improve": 6,
    "wish": 4,
    "why": 4,
    "keep": 3,
    "guest": 4,
    "size": 8,
    "rank": 7,
    "trip": 10,
    "pack": 9,
    "calendar": 5,
    "batch": 4,
    "timeline": 9,
    "schema": 0.3,
    "example": 0.2,
    "usage": 1.5,
}
SCHEMAS = [
    "setup",
    "plan",
    "rota",
    "proof",
    "score",
    "improve",
    "wish",
    "guest",
    "size",
    "rank",
    "timeline",
    "trip",
    "calendar",
    "pack",
    "",
    "plam",
    "SETUP",
]
NAMES = [
    "set up.json",
    "-",
    "--json",
    "ü 木.json",
    "\u202egnp.json",
    "n" * 200 + ".json",
    "a\nb.json",
    "setup",
    "'quoted' \"name\".json",
]
BUDGETS = ["1", "2", "10", "100", "1000", "3000"]
LIMITS = ["0", "0.001", "0.01", "0.2", "1e-9"]
BAD_LIMITS = [
    ["--budget", "0"],
    ["--budget", "-1"],
    ["--budget", "1e3"],
    ["--budget", "99999999999999999999"],
    ["--time-limit", "-1"],
    ["--time-limit", "nan"],
    ["--time-limit", "1e300"],
    ["--time-limit", ""],
    ["--budget"],
    ["--time-limit", "1e-300", "--budget", "7"],
]


class Corpus:
    """Documents by kind, each a text; `answers` are (setup, answer, proof or none)."""

    def __init__(self, runs):
        read = lambda path: path.read_text(encoding="utf-8-sig", errors="replace")
        setups = [read(path) for path in sorted(FIXTURES.glob("*.json")) if '"devices"' in read(path)]
        self.bags = [text for text in setups if '"chargers"' not in text]
        self.setups = [text for text in setups if '"chargers"' in text]
        for form in ([], ["--json"], ["--trip"]):
            self.setups.append(runs.run(Case("example", ["example", *form], {})).stdout.decode())
        self.trips = [text for text in self.setups if '"trip"' in text]
        self.nights = [text for text in self.setups if '"sessions"' in text]
        self.shops = [text for text in self.setups if '"shop"' in text] + [read(FIXTURES / "kiosk.txt")]
        self.made = [json.dumps(generate.setup(seed), ensure_ascii=False) for seed in range(24)]
        self.nights += [json.dumps(generate.night(seed), ensure_ascii=False) for seed in range(18)]
        self.faults = [read(path) for path in sorted(FIXTURES.glob("faults/*.json")) if path.stat().st_size < 20_000]
        self.chargers = [read(path) for path in sorted(FIXTURES.glob("chargers/*.json"))]
        self.candidates = read(FIXTURES / "candidates.ndjson").splitlines()
        self.lines = read(FIXTURES / "lines.ndjson").splitlines()
        self.berths = read(FIXTURES / "quartet-berths.json")
        self.quartet = read(FIXTURES / "quartet.json")
        self.plans, self.rotas = [], []
        for text in [*self.setups, *self.made]:
            case = Case(
                "assign",
                ["assign", "setup.json", "--json", "--budget", "20000", "--proof", "proof"],
                {"setup.json": text.encode()},
            )
            ended = runs.run(case)
            if ended.code in (0, 1, 3) and ended.stdout:
                self.plans.append((text, ended.stdout.decode(), proof_of(ended, "proof")))
        for text in self.nights:
            ended = runs.run(
                Case(
                    "rota",
                    ["rota", "setup.json", "--json", "--budget", "20000", "--proof", "proof"],
                    {"setup.json": text.encode()},
                )
            )
            if ended.code in (0, 1, 3) and ended.stdout:
                self.rotas.append((text, ended.stdout.decode(), proof_of(ended, "proof")))
        every = [*self.setups, *self.bags, *self.nights, *self.made, *self.chargers, *self.candidates]
        self.parts = parts_of(every)
        answers = [
            text for _, text, _ in [*self.plans[:12], *self.rotas[:6]] if len(text) < 40_000
        ]
        self.answer_parts = parts_of([*answers, self.berths])

    def counted(self):
        return (
            f"{len(self.setups)} setups, {len(self.made)} made, {len(self.nights)} with sessions, "
            f"{len(self.faults)} with faults, {len(self.bags)} bags, "
            f"{len(self.chargers) + len(self.candidates)} chargers, {len(self.plans)} plans, {len(self.rotas)} rotas, "
            f"{sum(bool(proof) for *_, proof in [*self.plans, *self.rotas])} proofs"
        )


def proof_of(ended, folder):
    """The files of a proof by name, none where it was not written."""
    return {path.name: data.decode() for path, data in files_in(ended, folder)}


def files_in(ended, folder):
    paths = ((pathlib.PurePosixPath(path), data) for path, data in ended.files.items())
    return [(path, data) for path, data in paths if str(path.parent) == folder and data is not None]


def case(rng, corpus, only=None):
    """A case of a random subcommand."""
    names = only or list(WEIGHTS)
    name = rng.choices(names, [WEIGHTS[name] for name in names])[0]
    made = Maker(rng, corpus)
    built = getattr(made, name)()
    if rng.random() < 0.06:
        built.arguments += ["--color", rng.choice(["always", "never", "auto", "sometimes"])]
    return built


class Maker:
    """Builds one case."""

    def __init__(self, rng, corpus):
        self.rng = rng
        self.corpus = corpus
        self.mutator = Mutator(rng, corpus.parts)
        self.files = {}

    def chance(self, probability):
        return self.rng.random() < probability

    def changed(self, text, probability=0.93, wild=True):
        return self.mutator.text(text, wild) if self.chance(probability) else text.encode(errors="surrogatepass")

    def file(self, name, data):
        if name == "setup.json" and self.chance(0.02):
            name = self.rng.choice(NAMES)
        self.files[name] = data
        return name if name != "-" and not name.startswith("--") else f"./{name}"

    def setup_text(self, nights=0.12, trips=0.06):
        rng, corpus = self.rng, self.corpus
        kinds = [corpus.nights, corpus.trips, corpus.setups, corpus.made, corpus.faults]
        return rng.choice(rng.choices(kinds, [nights, trips, 0.35, 0.4, 0.05])[0])

    def setup(self, **odds):
        """Arguments of a setup, with or without chargers of their own."""
        if self.chance(0.15):
            arguments = [self.file("setup.json", self.changed(self.rng.choice(self.corpus.bags)))]
            for number in range(self.rng.choice([1, 1, 1, 2, 3])):
                arguments += ["--charger", self.file(f"charger{number}.json", self.changed(self.charger_text(), 0.5))]
            return arguments
        return [self.file("setup.json", self.changed(self.setup_text(**odds)))]

    def charger_text(self):
        return self.rng.choice(self.corpus.chargers + self.corpus.candidates[:20])

    def limits(self, default):
        """Options that limit the search; none of them with probability `default`."""
        rng = self.rng
        draw = rng.random()
        if draw < default:
            return []
        if draw > 0.98:
            return list(rng.choice(BAD_LIMITS))
        return ["--time-limit", rng.choice(LIMITS)] if draw > 0.88 else ["--budget", rng.choice(BUDGETS)]

    def outputs(self, kinds, probability=0.25):
        """Options that name files to write, and those files by what is to be in them."""
        arguments, outputs, rng = [], {}, self.rng
        for kind in kinds:
            if not self.chance(probability):
                continue
            path = {"svg": "night.svg", "html": "night.html", "proof": "night.proof"}[kind]
            draw = rng.random()
            if draw < 0.015:
                path = rng.choice(
                    [*self.files, "no-such-folder/x", ".", "-", "", *outputs]
                )  # An input, or what cannot be.
            elif draw < 0.1:
                self.files[path] = b"what was there before"
            arguments += [f"--{kind}", path]
            outputs[path] = kind
        return arguments, outputs

    def built(self, name, arguments, json_odds, kinds=(), **about):
        written, outputs = self.outputs(kinds)
        arguments = [name, *arguments, *written]
        if self.chance(json_odds):
            arguments.append("--json")
        elif "card" in about and self.chance(0.35):
            arguments.append("--card")
        stdin = None
        positional = [argument for argument in arguments if argument in self.files]
        if positional and self.chance(0.08):
            stdin = self.rng.choice(positional)
            arguments[arguments.index(stdin)] = "-"
        return Case(name, arguments, self.files, outputs, stdin, about)

    def assign(self):
        return self.built("assign", [*self.setup(), *self.limits(0.15)], 0.5, ("svg", "html", "proof"), card=True)

    def rota(self):
        return self.built("rota", [*self.setup(nights=2), *self.limits(0.06)], 0.5, ("svg", "html", "proof"), card=True)

    def check(self):
        return self.built("check", self.setup(), 0.4)

    def verify(self):
        rng, corpus = self.rng, self.corpus
        setup, answer, proof = rng.choice(rng.choice([corpus.plans, corpus.plans, corpus.rotas]))
        what = rng.choices(["answer", "proof", "setup", "both", "nothing"], [45, 20 if proof else 0, 15, 10, 4])[0]
        answers = Mutator(rng, corpus.answer_parts)
        arguments = [self.file("setup.json", self.changed(setup, 1) if what in ("setup", "both") else setup.encode())]
        arguments.append(
            self.file("plan.json", answers.text(answer) if what in ("answer", "both") else answer.encode())
        )
        if proof and (what == "proof" or self.chance(0.3)):
            changed = rng.choice(sorted(proof)) if what == "proof" else None
            for name, text in proof.items():
                self.files[f"proof/{name}"] = answers.text(text) if name == changed else text.encode()
            arguments += ["--proof", "proof"]
        return self.built("verify", arguments, 0.4, changed=what, answer=answer)

    def score(self):
        rng, corpus = self.rng, self.corpus
        answers = Mutator(rng, corpus.answer_parts + corpus.parts[:50])
        setup, berths = corpus.quartet, corpus.berths
        if self.chance(0.5):
            setup, berths, _ = rng.choice(corpus.plans)
        arguments = [self.file("setup.json", self.changed(setup, 0.3)), self.file("berths.json", answers.text(berths))]
        return self.built("score", [*arguments, *self.limits(0.12)], 0.4)

    def improve(self):
        return self.built("improve", [*self.setup(), *self.limits(0.02)], 0.4)

    def wish(self):
        who = self.rng.choice(["laptop", "phone", "everybody", "everything", "promised", "score tablet, phone", "木", ""])
        what = self.rng.choice(["served", "by 1 h", "by 3 h 30 min", "by 6:00", "by 25:10", "by 0 h", "by 1e9 h", "by", ""])
        return self.built("wish", [*self.setup(), f"{who} {what}", *self.limits(0.02)], 0.4)

    def why(self):
        return self.built("why", [*self.setup(), *self.limits(0.1)], 0.4)

    def near(self):
        """A setup and a plan at hand, of it or of another one, either of them changed."""
        rng, corpus = self.rng, self.corpus
        setup, answer, _ = rng.choice(rng.choice([corpus.plans, corpus.plans, corpus.rotas]))
        if self.chance(0.2):
            setup = rng.choice(corpus.plans)[0]
        answers = Mutator(rng, corpus.answer_parts)
        plan = answers.text(answer) if self.chance(0.4) else answer.encode()
        return self.file("setup.json", self.changed(setup, 0.5)), self.file("plan.json", plan)

    def keep(self):
        setup, plan = self.near()
        return self.built("assign", [setup, "--keep", plan, *self.limits(0.1)], 0.4)

    def guest(self):
        named = ["--device", self.rng.choice(["laptop", "phone 1", "lapton", ""])] if self.chance(0.5) else []
        return self.built("guest", [*self.near(), *named, *self.limits(0.1)], 0.4)

    def size(self):
        rng = self.rng
        text = rng.choice(self.corpus.bags) if self.chance(0.3) else self.setup_text()
        arguments = [self.file("setup.json", self.changed(text))]
        if self.chance(0.6):
            arguments += [
                "--by",
                rng.choice(["0", "0.5", "1", "2.5", "8", "10000", "1e-9", "-1", "nan", "inf", "1e308", "", "x"]),
            ]
        return self.built("size", arguments, 0.4, ("svg", "html"))

    def rank(self):
        rng, corpus = self.rng, self.corpus
        arguments = [
            self.file(
                "setup.json",
                self.changed(
                    rng.choice(corpus.bags) if self.chance(0.5) else self.setup_text(), 0.5, wild=self.chance(0.5)
                ),
            )
        ]
        if self.chance(0.75):
            lines = [
                self.changed(rng.choice(corpus.candidates), 0.15, wild=self.chance(0.3))
                for _ in range(rng.randint(0, 8))
            ]
            lines = [line.replace(b"\n", b" ") if self.chance(0.95) else line for line in lines]
            arguments.append(
                self.file(rng.choice(["candidates.ndjson", "candidates.jsonl", "candidates"]), b"\n".join(lines))
            )
        for number in range(rng.choice([0, 0, 1, 3])):
            arguments.append(
                self.file(f"candidate{number}.json", self.changed(rng.choice(corpus.chargers + corpus.setups), 0.3))
            )
        if self.chance(0.5):
            arguments += ["--up-to", rng.choice(["2"] * 12 + ["3", "3", "1", "0", "-1", "99", "18446744073709551616"])]
        if self.chance(0.3):
            arguments += ["--top", rng.choice(["1", "3", "8", "0", "1000000", "-1"])]
        if self.chance(0.2):
            arguments.append("--unbeaten")
        names = ["laptop", "phone", "score tablet 1", "priority-1", "all", "", "=1", "\u202ex"]
        if self.chance(0.3):
            arguments += ["--by", rng.choice(["longest", "weight", "price", *names])]
        for _ in range(rng.choice([0, 0, 0, 1, 2])):
            arguments += ["--times", rng.choice(["all"] * 6 + names)]
        if self.chance(0.2):
            arguments += ["--plans", rng.choice(["1", "3", "0", "1001", "-1"])]
        arguments += self.reshared() + self.threads()
        return self.built("rank", [*arguments, *self.limits(0.02)], 0.4, ("svg", "html"))

    def trip(self):
        arguments = self.setup(trips=6)
        return self.built("trip", [*arguments, *self.limits(0.02)], 0.4, ("html",))

    def pack(self):
        rng, corpus = self.rng, self.corpus
        arguments = (
            [self.file("setup.json", self.changed(rng.choice(corpus.shops)))]
            if self.chance(0.6)
            else self.setup(trips=2)
        )
        for number in range(rng.choice([0, 0, 0, 1, 1, 2])):
            arguments += ["--shop", self.file(f"shop{number}.json", self.changed(rng.choice(corpus.shops), 0.4))]
        if self.chance(0.4):
            arguments += ["--by", rng.choice(["weight", "price", "pieces"] * 4 + ["", "colour"])]
        if self.chance(0.4):
            arguments.append("--alone")
        return self.built("pack", [*arguments, *self.limits(0.02)], 0.5, ("html",))

    def calendar(self):
        arguments = [self.file("setup.json", self.changed(self.rng.choice(self.corpus.shops)))]
        if self.chance(0.7):
            arguments = self.setup(nights=0.3)
        return self.built("calendar", [*arguments, *self.limits(0.02)], 0.5, ("html",))

    def timeline(self):
        rng, corpus = self.rng, self.corpus
        arguments = self.reshared()
        if self.chance(0.5):
            setup, answer, _ = rng.choice(rng.choice([corpus.plans, corpus.rotas]))
            answers = Mutator(rng, corpus.answer_parts)
            arguments += [self.file("setup.json", self.changed(setup, 0.2)), "--plan"]
            arguments.append(self.file("plan.json", answers.text(answer) if self.chance(0.6) else answer.encode()))
        else:
            rota = self.chance(0.3)
            arguments += self.setup(nights=2 if rota else 0.12) + (["--rota"] if rota else []) + self.limits(0.1)
        if self.chance(0.3):
            arguments += [
                "--step",
                rng.choice(["5", "1", "0.01", "1440", "60.5", "0", "-1", "nan", "1e308", "0.0001", "1441"]),
            ]
        return self.built("timeline", arguments, 0.5)

    def batch(self):
        rng = self.rng
        lines = [self.line() for _ in range(rng.choice([1, 5, 20, 40, 60]))]
        lines = [line.replace(b"\n", b" ") if self.chance(0.97) else line for line in lines]
        data = rng.choice([b"\n", b"\n", b"\r\n"]).join(lines) + rng.choice([b"", b"\n", b"\n\n"])
        if self.chance(0.05):
            data = self.mutator.bytes(data)
        arguments = ["batch", *self.reshared(), *self.threads(), *self.limits(0.05)]
        stdin = self.file("lines.ndjson", data)
        if self.chance(0.3):
            arguments, stdin = [*arguments, stdin], None
        return Case("batch", arguments, self.files, {}, stdin, {"lines": True})

    def line(self):
        rng, corpus = self.rng, self.corpus
        if self.chance(0.04):
            return rng.choice(
                [b"", b" ", b"\t", b"\x0b", b"\xc2\xa0", b"\xe2\x80\xa8", b"null", b"[]", b"{}", b"\x00", b"\xff"]
            )
        draw = rng.random()
        if draw < 0.2:
            text = rng.choice(corpus.lines)
        elif draw < 0.5:
            text = (
                f'{{"id": {rng.randint(0, 99)}, "setup": {rng.choice(corpus.bags)}, "charger": {self.charger_text()}}}'
            )
        elif draw < 0.6:
            chargers = ", ".join(self.charger_text() for _ in range(rng.randint(0, 3)))
            text = f'{{"id": "{rng.randint(0, 99)}", "setup": {rng.choice(corpus.setups)}, "chargers": [{chargers}]}}'
        else:
            text = f'{{"id": [{rng.randint(0, 99)}], "setup": {self.setup_text()}}}'
        return self.changed(text, 0.85)

    def schema(self):
        return Case("schema", ["schema", *filter(None, [self.rng.choice(SCHEMAS)])], {}, {}, None, {"data": True})

    def example(self):
        return Case("example", ["example", "--json"], {}, {}, None, {"data": True})

    def usage(self):
        """Arguments that make no sense, most of them."""
        rng = self.rng
        words = [
            *WEIGHTS,
            "help",
            "asign",
            "setup.json",
            "no-such-file",
            ".",
            "/dev/null",
            "-",
            "--",
            "--json",
            "--card",
            "--version",
            "-h",
            "--help",
            "--budget",
            "7",
            "--svg",
            "--proof",
            "--charger",
            "--shop",
            "--up-to",
            "--step",
            "--by",
            "--plan",
            "--jason",
            "--color",
            "\u202e",
            "",
            "\udcff",
        ]
        self.files["setup.json"] = self.changed(self.setup_text(), 0.3)
        given = [rng.choice(words) for _ in range(rng.randint(0, 4))]
        if rng.random() < 0.6:
            given = [rng.choice(list(WEIGHTS)[:-1]), "setup.json", *given]
        outputs = {value: option[2:] for option, value in zip(given, given[1:]) if option in ("--svg", "--proof")}
        return Case("usage", given, self.files, outputs, None, {})

    def reshared(self):
        return ["--reshared"] if self.chance(0.3) else []

    def threads(self):
        if not self.chance(0.3):
            return []
        return ["--threads", self.rng.choice(["1", "2", "2", "3", "3", "3", "16", "0", "-1", "100000", "x"])]


def following(rng, case, ended):
    """The cases that an answer gives rise to."""
    if case.about.get("follows") or ended.killed or case.name == "usage":
        return
    served = ended.code in (0, 1)
    setup = setup_arguments(case)
    if case.name in ("assign", "rota") and served and "--json" in case.arguments and setup:
        files = inputs(case) | {"the.answer": ended.stdout}
        proof = next((path for path, kind in case.outputs.items() if kind == "proof" and files_in(ended, path)), None)
        arguments = ["verify", *setup, "the.answer"]
        if proof:
            files |= {f"the.proof/{path.name}": data for path, data in files_in(ended, proof)}
            arguments += ["--proof", "the.proof"]
        yield Case("verify", arguments, files, {}, None, {"follows": case.name, "expect": 0})
        if rng.random() < 0.2:
            extra = rng.choice([[], ["--reshared"]]) + rng.choice([[], ["--json"]])
            yield Case(
                "timeline",
                ["timeline", *setup, "--plan", "the.answer", *extra],
                files,
                {},
                None,
                {"follows": case.name, "expect": ended.code},
            )
    if (
        case.name == "assign"
        and setup
        and "--keep" not in case.arguments
        and not case.outputs
        and rng.random() < 0.25
        and (served or ended.code == 2 and limits_alone(case))
    ):
        yield Case(
            "check", ["check", *setup], inputs(case), {}, None, {"follows": "assign", "expect": 0 if served else 2}
        )
    if case.name == "batch" and ended.code == 0:
        yield from batch_following(rng, case, ended)
    if (
        case.name in ("assign", "rota", "rank", "batch", "improve", "wish", "why", "guest", "trip", "pack", "calendar", "timeline")
        and served
        and rng.random() < 0.04
    ):
        yield from again(rng, case, ended)


def setup_arguments(case):
    """The arguments that name the setup and its chargers; none where one was standard input."""
    if case.stdin:
        return None
    found, left = [], iter(case.arguments[1:])
    for argument in left:
        if argument == "--charger":
            found += [argument, next(left)]
        elif argument in ("--shop", "--keep"):
            next(left)
        elif argument.removeprefix("./") in case.files and argument not in case.outputs:
            found.append(argument)
    return found


def inputs(case):
    return {path: data for path, data in case.files.items() if path not in case.outputs}


def limits_alone(case):
    """Whether a refusal can only come from the setup: no option is wrong."""
    given = " ".join(case.arguments)
    return not any(" ".join(bad) in given for bad in BAD_LIMITS) and "sometimes" not in given


def batch_following(rng, case, ended):
    """`verify` on the plan of one line, and the same lines on one thread."""
    data = next(iter(case.files.values()))
    lines = [line for line in data.split(b"\n") if line.strip(b" \t\n\x0c\r")]
    answers = ended.stdout.split(b"\n")
    planned = [index for index, answer in enumerate(answers[: len(lines)]) if b'"plan"' in answer[:300]]
    if not planned:
        return
    index = rng.choice(planned)
    try:
        line, answer = json.loads(lines[index]), json.loads(answers[index])
    except (ValueError, RecursionError):
        return
    if not isinstance(answer, dict) or "plan" not in answer:
        return
    files = {
        "setup.json": json.dumps(line["setup"]).encode(),
        "the.answer": json.dumps(answer["plan"]).encode(),
        "the.line": lines[index],
    }
    arguments = ["verify", "setup.json", "the.answer"]
    for number, charger in enumerate([line["charger"]] if "charger" in line else line.get("chargers", [])):
        files[f"charger{number}.json"] = json.dumps(charger).encode()
        arguments += ["--charger", f"charger{number}.json"]
    yield Case("verify", arguments, files, {}, None, {"follows": "batch", "expect": 0})


def again(rng, case, ended):
    """The same once more, on other threads where that can be said: the same bytes."""
    if "--time-limit" in case.arguments or any(path in case.outputs for path in case.files):
        return
    arguments = list(case.arguments)
    if case.name in ("rank", "batch") and "--threads" not in arguments:
        arguments += ["--threads", rng.choice(["1", "2", "5"])]
    yield Case(
        case.name,
        arguments,
        case.files,
        case.outputs,
        case.stdin,
        case.about | {"follows": case.name, "same": ended.stdout, "expect": ended.code},
    )
