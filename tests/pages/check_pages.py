"""Opens the pictures of the `wattberth` binary in headless Chromium, as a reader does.

    python check_pages.py BINARY [--keep FOLDER]

Setups of invented things, some with names that nobody would choose, are answered with `--html` and `--svg`. Every page
and every drawing is opened at the widths of a phone and of a desk, by day and by night:

- nothing is asked of anything but the file itself, no error is reported, no script is there;
- no text is cut, leaves the window, or lies over another; none is too small to read;
- the accessibility tree names every device;
- on paper, up to 16 devices take one sheet of A4.

First, pages that are wrong in one of these ways each are held against the same checks: every one must be found. One line
per fault; exit code 1 on any. `--keep` leaves the pages and a picture of each in a folder.
"""

import argparse
import base64
import copy
import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDTHS = (360, 1280)
# Below this nobody reads a phone at arm's length.
LEAST_PX = 9.5
MOST_BYTES = 200_000
HOSTILE = [
    "<script>document.title = 'run'</script>",
    "</title></style></svg><b>bold</b>",
    "\"quotes\" & 'more' &lt;b&gt;",
    "הטאבלט של הוויולה (כחול)",
    "mirror\u202egnp.exe",
    "👩‍🚀🎻 violin 🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻",
    "譜面用タブレット二台目の予備の予備の予備",
    "x" * 200,
    "very " * 39 + "long",
]

# By text that is shown: where it is, in the window, and how large its letters are.
TEXTS = """
() => {
  const found = [];
  const shown = (element) => element.checkVisibility({visibilityProperty: true});
  const inside = [...document.querySelectorAll('*')].map((element) => element.shadowRoot).filter(Boolean);
  for (const text of [document, ...inside].flatMap((root) => [...root.querySelectorAll('svg text')])) {
    if (!shown(text) || !text.textContent.trim()) continue;
    const box = text.getBoundingClientRect();
    let drawing = text.ownerSVGElement;
    while (drawing.ownerSVGElement) drawing = drawing.ownerSVGElement;
    const edge = drawing.getBoundingClientRect();
    const scale = text.getScreenCTM().a;
    const size = parseFloat(getComputedStyle(text).fontSize);
    // A box of letters is as high as the font asks, far more than they are.
    const middle = (box.top + box.bottom) / 2, half = size * scale * 0.36;
    found.push({what: text.textContent, left: box.left, right: box.right, top: middle - half, bottom: middle + half,
                within: [edge.left, edge.top, edge.right, edge.bottom], size: size * scale});
  }
  const words = (root) => {
    const walk = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    const nodes = [];
    while (walk.nextNode()) nodes.push(walk.currentNode);
    return nodes;
  };
  for (const node of [document.body ?? document.documentElement, ...inside].flatMap(words)) {
    const parent = node.parentElement;
    if (!node.data.trim() || parent.closest('svg, style, script, title') || !shown(parent)) continue;
    if (getComputedStyle(parent).color === 'rgba(0, 0, 0, 0)') continue;
    // Only for those who hear the page.
    const heard = parent.closest('thead, .unseen');
    if (heard && getComputedStyle(heard).position === 'absolute') continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      let cut = [0, -1e9, innerWidth, 1e9];
      for (let up = parent; up && up !== document.body; up = up.parentElement) {
        if (getComputedStyle(up).overflowX === 'visible') continue;
        const edge = up.getBoundingClientRect();
        cut = [Math.max(cut[0], edge.left), -1e9, Math.min(cut[2], edge.right), 1e9];
      }
      const size = parseFloat(getComputedStyle(parent).fontSize);
      const middle = (box.top + box.bottom) / 2, half = size * 0.36;
      found.push({what: node.data.trim(), left: box.left, right: box.right, top: middle - half, bottom: middle + half,
                  within: cut, size});
    }
  }
  return found;
}
"""

PAGE = """
() => ({
  width: document.documentElement.scrollWidth,
  inner: innerWidth,
  strange: [...document.querySelectorAll('script, iframe, img, image, object, embed, b, foreignObject, a')]
    .map((element) => element.tagName),
  title: document.title,
  paper: getComputedStyle(document.querySelector('svg > .paper') ?? document.body).fill
       + getComputedStyle(document.body ?? document.documentElement).backgroundColor,
})
"""


def answers(binary, folder):
    """The answers to look at: (name, the devices to be named, whether it must fit one sheet)."""
    quartet = json.loads((ROOT / "fixtures/quartet.json").read_text(encoding="utf-8"))
    bag = ROOT / "fixtures/quartet-bag.json"
    candidates = ROOT / "fixtures/candidates.ndjson"

    def draw(name, question, arguments, stdin=None, kinds=("html", "svg")):
        files = [part for kind in kinds for part in (f"--{kind}", str(folder / f"{name}.{kind}"))]
        command = [binary, question, *map(str, arguments), "--json", *files]
        ended = subprocess.run(command, input=stdin, capture_output=True, text=True, cwd=ROOT, check=False)
        if ended.returncode not in (0, 1):
            sys.exit(f"{' '.join(command)}: {ended.stdout}{ended.stderr}")
        return json.loads(ended.stdout)

    def plan(name, setup, one_sheet):
        drawn = draw(name, "assign", ["-"], json.dumps(setup))
        places = drawn["berths"] + drawn["without_berth"]
        return name, [place["device"] for place in places], one_sheet

    late = copy.deepcopy(quartet)
    late["start"] = "22:30"
    late["devices"][4]["ready_by_h"] = 1
    yield plan("quartet", quartet, True)
    yield plan("late", late, True)
    yield plan("sixteen", sixteen(), True)
    yield plan("crowd", crowd(), False)
    drawn = draw("rota", "rota", ["-"], json.dumps(in_sessions()))
    yield "rota", [place["device"] for place in drawn["berths"] + drawn["without_berth"]], True
    for number, name in enumerate(HOSTILE):
        yield plan(f"hostile-{number}", hostile(quartet, name), len(name) < 100)
    sized = draw("size", "size", [bag, "--by", "2.5"])
    yield "size", [port["device"] for port in sized["ports"] + sized["unreached"]], True
    ranked = draw("rank", "rank", [bag, candidates, "--up-to", "2"])
    yield "rank", [" + ".join(kit["candidate"]) for kit in ranked["ranked"][:20]], True
    walked = draw("trip", "trip", [ROOT / "fixtures/quartet-tour.json"], kinds=("html",))
    things = {found["thing"] for stop in walked["stops"] for found in stop["findings"]}
    yield "trip", sorted(things), False
    listed = draw("trip-list", "trip", [ROOT / "fixtures/tour.txt"], kinds=("html",))
    yield "trip-list", [berth["device"] for berth in listed["stops"][0]["plan"]["berths"]], False
    route = "stop Edinburgh: GB\nstop Rome: IT\nplug EF\n"
    draw("trip-route", "trip", ["-"], route, kinds=("html",))
    yield "trip-route", ["plug EF", "socket L10"], False
    yield from bags(draw)
    scored = draw("score", "score", [ROOT / "fixtures/quartet.json", ROOT / "fixtures/quartet-berths.json"], kinds=("html",))
    yield "score", [berth["device"] for berth in scored["berths"]] + scored["without_berth"], True
    draw("improve", "improve", [ROOT / "fixtures/quartet-eight.json"], kinds=("html",))
    yield "improve", [], True
    draw("improve-hostile", "improve", ["-"], json.dumps(hostile(quartet, HOSTILE[0])), kinds=("html",))
    yield "improve-hostile", [], False
    draw("why", "why", [ROOT / "fixtures/quartet-eight.json"], kinds=("html",))
    yield "why", ["laptop", "battery pack"], True
    draw("why-hostile", "why", ["-"], json.dumps(hostile(quartet, HOSTILE[0])), kinds=("html",))
    yield "why-hostile", [], False
    draw("wish", "wish", [ROOT / "fixtures/quartet-eight.json", "laptop by 1 h 30 min"], kinds=("html",))
    yield "wish", ["laptop"], True
    draw("wish-hostile", "wish", ["-", "everything by 1 h"], json.dumps(hostile(quartet, HOSTILE[0])), kinds=("html",))
    yield "wish-hostile", [], False
    for name, setup, flags in (
        ("night", quartet, ["--reshared", "--rules"]),
        ("night-rota", in_sessions(), ["--rota"]),
        ("night-hostile", hostile(quartet, HOSTILE[6]), ["--rules"]),
    ):
        told = draw(name, "timeline", ["-", *flags], json.dumps(setup))
        yield name, [course["device"] for course in told["series"]], False


def bags(draw):
    """What to buy and what to take, with names of all kinds, and the nights of a calendar."""
    for number, name in enumerate(["", *HOSTILE]):
        packed = draw(f"pack-{number}" if name else "pack", "pack", ["-"], tour(name))
        kinds = [piece["thing"] for piece in packed["buy"] + packed["take"]]
        yield f"pack-{number}" if name else "pack", [] if name else kinds, False
    dated = draw("calendar", "calendar", ["-"], residency(), kinds=("html",))
    berths = [berth["device"] for night in dated["plans"] for berth in night["plan"]["berths"]]
    yield "calendar", sorted(set(berths)), True


def tour(name):
    """Three stops, next to nothing owned, and a small shop."""

    def called(own):
        return f"{own} {name}".strip()[:190]

    def sold(own, total, plug, weight, price, ports):
        ports = [{"name": port, "pd_w": watts} for port, watts in ports.items()]
        mains = {"plug": plug, "input_v": "100-240V", "input_hz": "50/60Hz"}
        return {"name": called(own), "weight_g": weight, "price": price, "max_w": total, "ports": ports} | mains

    devices = [
        {"name": called("laptop"), "pd_w": 65, "battery_wh": 56},
        {"name": called("score tablet"), "pd_w": 30, "battery_wh": 28},
        {"name": called("metronome"), "pd_w": 5, "battery_wh": 4, "every_nights": 2},
    ]
    chargers = [
        sold("desk", 100, "EF", 240, 65, {"C1": 100, "C2": 45, "C3": 20}),
        sold("trio", 65, "C", 128, 39, {"C1": 65, "C2": 30, "C3": 20}),
        sold("cube", 65, "C", 105, 29, {"C1": 65}),
    ]
    adapters = [
        {"name": called(f"{take} to {make}"), "takes": [take], "makes": [make], "max_a": 10, "fuse_a": 13,
         "earthed": take == "EF", "weight_g": weight, "price": 5}
        for take, make, weight in (("EF", "G", 45), ("EF", "J", 40), ("C", "G", 30))
    ]
    stops = [("Vienna", "AT"), ("Leeds", "GB"), ("Basel", "CH")]
    stops = [{"name": called(stop), "country": country, "nights": 2} for stop, country in stops]
    cables = [
        {"name": called("braided"), "watts": 100, "weight_g": 32, "price": 9},
        {"name": called("thin"), "watts": 60, "weight_g": 22, "price": 6},
    ]
    shop = {"chargers": chargers, "cables": cables, "adapters": adapters}
    setup = {"name": called("A tour"), "session_h": 8, "start": "23:00", "devices": devices}
    return json.dumps(setup | {"trip": {"stops": stops}, "shop": shop})


def residency():
    return """night 23:00 to 7:00
charger pair: C1 45 W; C2 20 W
cable C to C, 1 m, x2
score tablet
metronome: 5 W, 4 Wh, every 3 nights
e-reader, every 3 nights
headphones, every 3 nights
"""


def hostile(quartet, name):
    setup = copy.deepcopy(quartet)
    setup["name"] = name
    setup["chargers"][0]["name"] = name
    setup["chargers"][0]["ports"][1]["name"] = name
    setup["chargers"][0]["pools"][0]["ports"][1] = name
    setup["chargers"][0]["pools"][1]["name"] = name
    for cable in setup["cables"]:
        cable["name"] = f"{cable['name']} {name}"[:200]
    for device in setup["devices"]:
        if device.get("count", 1) == 1:
            device["name"] = f"{len(device['name'])} {name}"[:200]
    names = [device["name"] for device in setup["devices"]]
    for at, device in enumerate(setup["devices"]):
        if names.count(device["name"]) > 1:
            device["name"] = f"{at} {device['name']}"[:200]
    setup["devices"][0]["name"] = name[:190]
    return setup


def in_sessions():
    """The quartet with fewer ports than devices, in three sessions."""
    setup = json.loads((ROOT / "fixtures/quartet-eight.json").read_text(encoding="utf-8"))
    setup.pop("session_h", None)
    setup["start"] = "20:00"
    hours = {"evening": 2, "night": 3, "small hours": 2}
    return setup | {"sessions": [{"name": name, "hours": h} for name, h in hours.items()]}


def sixteen():
    """Sixteen devices on one charger."""
    ports = [{"name": f"C{n}", "pd_w": 45} for n in range(1, 17)]
    devices = [
        {"name": f"music stand {n}", "pd_w": 30, "battery_wh": 18 + n, "start_pct": n} for n in range(1, 17)
    ]
    cables = [{"name": "braided", "count": 16}]
    return {"chargers": [{"name": "stage box", "ports": ports, "max_w": 300}], "cables": cables, "devices": devices}


def crowd():
    """Sixty devices on two chargers, and more ports than devices."""
    ports = [{"name": f"C{n}", "pd_w": 20} for n in range(1, 41)]
    device = {"name": "choir tablet", "pd_w": 20, "battery_wh": 25, "count": 60}
    chargers = [{"name": name, "ports": ports} for name in ("left wing", "right wing")]
    return {"chargers": chargers, "cables": [{"name": "braided", "count": 60}], "devices": [device]}


def visible(name):
    """A name as it is shown: what turns the writing around is escaped."""
    return name.replace("\u202e", "\\u{202e}")


def squeezed(text):
    return re.sub(r"\s+", " ", text)


class Reader:
    """One browser, and what it finds."""

    def __init__(self, browser, keep):
        self.browser = browser
        self.keep = keep

    def look(self, path, devices, one_sheet):
        faults = []
        papers = set()
        for width in WIDTHS:
            for scheme in ("light", "dark"):
                where = f"{path.name} at {width} px, {scheme}"
                found, paper = self.open(path, width, scheme, devices)
                faults += [f"{where}: {fault}" for fault in found]
                papers.add(paper)
        if len(papers) < 2:
            faults.append(f"{path.name}: the same by day and by night")
        sheets = self.sheets(path)
        if one_sheet and sheets != 1:
            faults.append(f"{path.name}: {sheets} sheets of A4")
        return faults

    def open(self, path, width, scheme, devices):
        faults = []
        context = self.browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
        page = context.new_page()
        page.on("console", lambda said: faults.append(f"console: {said.text}"))
        page.on("pageerror", lambda error: faults.append(f"error: {error}"))
        page.on("dialog", lambda dialog: (faults.append("a dialog"), dialog.dismiss()))
        own = path.as_uri()

        def asked(request):
            if request.url != own and not request.url.startswith("data:,"):
                faults.append(f"asks for {request.url[:80]}")

        page.on("request", asked)
        page.goto(own)
        facts = page.evaluate(PAGE)
        if facts["width"] > facts["inner"]:
            faults.append(f"{facts['width']} px wide")
        if facts["strange"]:
            faults.append(f"elements that do not belong there: {facts['strange']}")
        if facts["title"] == "run":
            faults.append("a name was run")
        faults += text_faults(page.evaluate(TEXTS))
        session = context.new_cdp_session(page)
        heard = squeezed(" ".join(names(session.send("Accessibility.getFullAXTree")["nodes"])))
        for device in devices:
            if squeezed(visible(device)).strip() not in heard:
                faults.append(f"not named for those who hear it: {device[:60]}")
        if self.keep:
            self.shoot(session, page, f"{path.name}-{width}-{scheme}.png", width)
        context.close()
        return faults, facts["paper"]

    def shoot(self, session, page, name, width):
        height = page.evaluate("document.documentElement.getBoundingClientRect().height")
        clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
        shot = session.send("Page.captureScreenshot", {"captureBeyondViewport": True, "clip": clip})
        (self.keep / name).write_bytes(base64.b64decode(shot["data"]))

    def sheets(self, path):
        context = self.browser.new_context()
        page = context.new_page()
        page.goto(path.as_uri())
        paper = page.pdf(prefer_css_page_size=True, print_background=True)
        context.close()
        if self.keep:
            (self.keep / f"{path.name}.pdf").write_bytes(paper)
        return len(re.findall(rb"/Type\s*/Page\b", paper))


def names(nodes):
    for node in nodes:
        for field in ("name", "description"):
            if not node.get("ignored") and field in node:
                yield str(node[field].get("value", ""))


def text_faults(texts):
    faults = []
    for text in texts:
        left, top, right, bottom = text["within"]
        # Half a pixel is rounding.
        inside = left - 0.5 <= text["left"] and text["right"] <= right + 0.5
        if not (inside and top - 0.5 <= text["top"] and text["bottom"] <= bottom + 0.5):
            faults.append(f"cut: {text['what'][:60]}")
        if text["size"] < LEAST_PX:
            faults.append(f"{text['size']:.1f} px: {text['what'][:60]}")
    by_top = sorted(texts, key=lambda text: text["top"])
    for at, one in enumerate(by_top):
        for other in by_top[at + 1 :]:
            if other["top"] >= one["bottom"] - 0.5:
                break
            if min(one["right"], other["right"]) - max(one["left"], other["left"]) > 1:
                faults.append(f"one over the other: {one['what'][:40]} | {other['what'][:40]}")
    return faults


# Each wrong in one way, with what must be said of it. All are alike by day and by night.
WRONG = {
    "error": ("<p>violin<script>null.x</script>", "error: "),
    "console": ("<p>violin<script>console.error('out of tune')</script>", "console: out of tune"),
    "script": ("<p>violin<script>document.title = 'run'</script>", "a name was run"),
    "asks": ("<p>violin<img src='http://localhost:9/x.png'>", "asks for http://localhost:9/"),
    "wide": ("<p>violin<div style='width:2000px'>.</div>", "px wide"),
    "cut": ("<p style='width:20px;overflow:hidden'>violinviolinviolin", "cut: violinviolin"),
    "outside": ("<svg width='100' height='20'><text x='60' y='15'>violin violin</text></svg>", "cut: violin violin"),
    "small": ("<p style='font-size:7px'>violin", "7.0 px: violin"),
    "over": (
        "<svg width='300' height='40'><text x='9' y='20'>violin</text><text x='19' y='22'>viola</text></svg>",
        "one over the other: violin | viola",
    ),
    "unheard": ("<p aria-hidden='true'>violin", "not named for those who hear it: violin"),
    "alike": ("<p>violin", "the same by day and by night"),
    "long": ("<p>violin<div style='height:3000px'></div>", "sheets of A4"),
}


def unseen(reader, folder):
    """The wrong pages in which the fault is not found."""
    for name, (body, fault) in WRONG.items():
        path = folder / f"wrong-{name}.html"
        text = f"<!DOCTYPE html><meta charset='utf-8'><title>wrong</title><body>{body}"
        path.write_text(text, encoding="utf-8")
        found = reader.look(path, ["violin"], True)
        if not any(fault in said for said in found):
            yield f"not found in {path.name}: {fault} (but {found})"


def asked(description, *files):
    """The arguments of such a check: files, a browser, and a folder for what is to be looked at."""
    parser = argparse.ArgumentParser(description=description)
    for name in files:
        parser.add_argument(name, type=lambda path: Path(path).resolve())
    parser.add_argument("--chromium", default=shutil.which("chromium") or shutil.which("chromium-browser"))
    parser.add_argument("--keep", type=Path)
    arguments = parser.parse_args()
    if arguments.keep:
        arguments.keep.mkdir(parents=True, exist_ok=True)
    return arguments


def main():
    arguments = asked(__doc__.splitlines()[0], "binary")
    pages = 0
    with tempfile.TemporaryDirectory() as temporary, sync_playwright() as playwright:
        folder = arguments.keep.resolve() if arguments.keep else Path(temporary)
        browser = playwright.chromium.launch(executable_path=arguments.chromium, args=FLAGS)
        faults = list(unseen(Reader(browser, None), folder))
        reader = Reader(browser, arguments.keep)
        for name, devices, one_sheet in answers(arguments.binary, folder):
            for kind in ("html", "svg"):
                path = folder / f"{name}.{kind}"
                if not path.exists():
                    continue
                faults += reader.look(path, devices, one_sheet)
                pages += 1
        bytes_of_quartet = (folder / "quartet.html").stat().st_size
        if bytes_of_quartet >= MOST_BYTES:
            faults.append(f"the quartet's page has {bytes_of_quartet} bytes")
        browser.close()
    for fault in faults:
        print(fault)
    print(f"{pages} pages and drawings, {len(WRONG)} wrong ones found; the quartet's page has {bytes_of_quartet} bytes")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
