"""Uses the page of `src/browser/` in headless Chromium, as a person does.

    python check_browser.py PAGE.html BINARY [--keep FOLDER]

The page is opened from its file, with no server:

- nothing is asked of anything, and nothing can be: what tries is refused;
- typing changes the plan, and its first answer comes within 100 ms; faults are marked at their words and said below;
- all of it can be done with the keyboard alone, and axe-core finds nothing to object to;
- a list comes back from the address and from a file; a limit that struck is said;
- nothing is cut or too small on a phone and on a desk, by day and by night;
- every setup and list in `fixtures/` has the same answer, byte for byte, as the binary gives, faults included.

One line per fault; exit code 1 on any. `--keep` leaves pictures in a folder.
"""

import json
import statistics
import subprocess
import sys
import tempfile
from importlib.util import find_spec
from pathlib import Path

from check_pages import FLAGS, HOSTILE, ROOT, TEXTS, asked, names, squeezed, text_faults
from playwright.sync_api import sync_playwright

WIDTHS = (390, 1280)
MOST_BYTES = 1 << 20
MOST_MS = 100
TRIES = 15
# What the page begins with; the fixture has twelve devices on two chargers, and is only told.
QUARTET = "src/cli/example.txt"
SMALL = "charger cube: C1 65 W; C2 20 W\ncable C to C, x2\nlaptop 65 W, 60 Wh, 30 % left\nphone 25 W, 19 Wh, empty\n"
SLIPS = (ROOT / "fixtures/slips.txt").read_text(encoding="utf-8")
# Which questions of which fixtures are held against the binary beside the plan; the others take too long.
OTHERS = {
    "rota": ["quartet-night.json"],
    "trip": ["quartet-tour.json", "tour.txt"],
    "pack": ["kiosk.txt", "kiosk-bag.json"],
}

SETTLED = "() => !document.getElementById('answer').hasAttribute('aria-busy')"
SHOWN = "() => document.getElementById('shown').shadowRoot?.textContent ?? ''"


class Sitting:
    """One page in one window, and what goes wrong there."""

    def __init__(self, browser, own, faults, width=1280, scheme="light", fragment=""):
        self.faults = faults
        self.own = own
        self.width = width
        self.context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            accept_downloads=True,
            permissions=["clipboard-read", "clipboard-write"],
        )
        self.context.on("request", self.asked)
        self.page = self.context.new_page()
        self.page.on("console", lambda said: self.wrong(f"console: {said.text}"))
        self.page.on("pageerror", lambda error: self.wrong(f"error: {error}"))
        self.page.goto(own + fragment)
        self.settle()

    def wrong(self, what):
        self.faults.append(f"at {self.width} px: {what}")

    def hold(self, what, right):
        if not right:
            self.wrong(what)

    def asked(self, request):
        own = self.own.split("#")[0]
        if request.url.split("#")[0] != own and not request.url.startswith(("data:,", "blob:")):
            self.wrong(f"asks for {request.url[:80]}")

    def settle(self):
        self.page.wait_for_function(SETTLED, timeout=60_000)

    def put(self, text):
        """Types a whole list, as one who pastes it."""
        field = self.page.locator("#list")
        field.focus()
        self.page.keyboard.press("Control+a")
        self.page.keyboard.insert_text(text)
        self.settle()

    def text(self):
        return self.page.eval_on_selector("#list", "(field) => field.value")

    def shown(self):
        return squeezed(self.page.evaluate(SHOWN))

    def seen(self, name):
        return squeezed(self.page.locator(f"#{name}").inner_text())

    def selected(self):
        return self.page.eval_on_selector(
            "#list", "(field) => field.value.slice(field.selectionStart, field.selectionEnd)"
        )

    def close(self):
        self.context.close()


def nothing_leaves(browser, own, faults):
    sitting = Sitting(browser, own, faults)
    tries = """async () => {
      const refused = [];
      document.addEventListener('securitypolicyviolation', (event) => refused.push(event.effectiveDirective));
      await fetch('http://localhost:9/').catch(() => {});
      navigator.sendBeacon('http://localhost:9/', 'x');
      const image = new Image();
      const loaded = new Promise((done) => { image.onload = image.onerror = done; });
      image.src = 'http://localhost:9/x.png';
      await loaded;
      const strange = document.createElement('script');
      strange.textContent = 'globalThis.ran = true';
      document.body.append(strange);
      await new Promise((done) => setTimeout(done, 100));
      return [globalThis.ran, refused.sort()];
    }"""
    before = len(faults)
    ran, refused = sitting.page.evaluate(tries)
    # Each is refused by the policy, and named: nothing of it came as far as the network.
    del faults[before:]
    sitting.hold("a strange script was run", not ran)
    wanted = ["connect-src", "connect-src", "img-src", "script-src-elem"]
    sitting.hold(f"refused are only {refused}", refused == wanted)
    sitting.close()


def typing(browser, own, faults):
    sitting = Sitting(browser, own, faults)
    example = (ROOT / "src/cli/example.txt").read_text(encoding="utf-8")
    sitting.hold("it does not begin with the quartet", sitting.text() == example)
    sitting.hold("the quartet has no plan", "however the charger shares" in sitting.shown())
    sitting.put(SMALL)
    before = sitting.shown()
    sitting.hold(f"no plan of a small list: {before[:80]}", "all 2 devices full after" in before.lower())
    # One letter after the other, with nothing in the way.
    sitting.page.keyboard.press("Control+End")
    sitting.page.keyboard.type("earbuds\n", delay=30)
    sitting.settle()
    after = sitting.shown()
    sitting.hold("typing does not change the plan", "earbuds" in after and after != before)
    heard = sitting.page.wait_for_function("() => document.getElementById('said').textContent", timeout=5_000)
    sitting.hold("the headline is not said", "full after" in heard.json_value())
    sitting.put((ROOT / "fixtures/table.txt").read_text(encoding="utf-8"))
    after = sitting.shown()
    for first, then in (("however the charger shares", "at best"), ("Certain after", "Full after")):
        sitting.hold(f"{first} does not come first", 0 < after.find(first) < after.find(then))
    sitting.hold("no caution is shown", "leave chargers uncovered" in after)
    for name in HOSTILE[:3]:
        sitting.put(SMALL + f'"{name.replace(chr(34), "")}": 10 W, 5 Wh\n')
        sitting.hold(f"a name was run: {name}", sitting.page.title() == "Wattberth")
        strange = "() => document.getElementById('shown').shadowRoot.querySelectorAll('script, b, img').length"
        sitting.hold(f"a name became an element: {name}", sitting.page.evaluate(strange) == 0)
    sitting.close()


def first_plan(browser, own, faults):
    """Milliseconds from a key to the first frame with the answer, by setup: the least and the median of several.

    The least is held, since other work on the machine can only add to it.
    """
    sitting = Sitting(browser, own, faults)
    times = {}
    for file in (QUARTET, "fixtures/quartet.json"):
        text = (ROOT / file).read_text(encoding="utf-8").rstrip()
        sitting.put(text)
        sitting.page.keyboard.press("Control+End")
        took = []
        for number in range(TRIES):
            sitting.page.evaluate("performance.clearMeasures()")
            sitting.page.keyboard.type(" " if number % 2 == 0 else "\n")
            sitting.page.wait_for_function("() => performance.getEntriesByName('answer').length", timeout=10_000)
            took.append(sitting.page.evaluate("() => performance.getEntriesByName('answer')[0].duration"))
            sitting.settle()
        times[file] = min(took), statistics.median(took)
        if file == QUARTET:
            sitting.hold(f"{min(took):.0f} ms from a key to the answer of {file}", min(took) < MOST_MS)
    sitting.close()
    return times


def marked(browser, own, faults):
    sitting = Sitting(browser, own, faults)
    sitting.put(SLIPS)
    marks = sitting.page.eval_on_selector_all("#marks mark", "(all) => all.map((mark) => mark.textContent)")
    sitting.hold(f"marked are {marks}", marks == ["labtop", "25", "1,500"])
    # Each mark lies behind its word: as far from the field's edge as the letters before it are wide.
    apart = """() => {
      const field = document.getElementById('list'), marks = document.getElementById('marks');
      return [field.clientWidth - marks.clientWidth, field.scrollHeight - marks.scrollHeight,
              parseFloat(getComputedStyle(field).fontSize) - parseFloat(getComputedStyle(marks).fontSize)];
    }"""
    offsets = sitting.page.evaluate(apart)
    sitting.hold(f"marks do not lie behind their words: {offsets}", all(abs(off) <= 1 for off in offsets[::2]))
    sitting.hold("3 faults are not said", sitting.seen("faults-title") == "3 faults")
    told = sitting.seen("faults")
    sitting.hold("a fault is not told", "Nothing is known of labtop" in told and "1500, or 1.5" in told)
    invalid = sitting.page.get_attribute("#list", "aria-invalid")
    sitting.hold("the field is not said to be wrong", invalid == "true")
    heard = sitting.page.wait_for_function("() => document.getElementById('said').textContent", timeout=5_000)
    sitting.hold(f"faults are not said: {heard.json_value()}", heard.json_value().startswith("3 faults. Line 2"))
    sitting.hold("the answer before is not said to be old", "as it was before" in sitting.seen("notice"))
    sitting.page.locator("#fault-list button.at").nth(1).click()
    sitting.hold("a fault does not lead to its words", sitting.selected() == "25")
    sitting.page.get_by_role("button", name="laptop", exact=True).click()
    sitting.settle()
    sitting.hold("the near name is not put in its place", "laptop\nphone 25" in sitting.text())
    sitting.page.keyboard.press("Control+z")
    sitting.settle()
    sitting.hold("that cannot be undone", "labtop" in sitting.text())
    sitting.put('{"chargers": [], "devics": []}')
    told = sitting.seen("faults")
    sitting.hold(f"faults of a document are not told: {told}", "devices" in told)
    sitting.put(SMALL)
    sitting.hold("faults stay", sitting.page.locator("#faults").is_hidden() and sitting.page.locator("mark").count() == 0)
    sitting.close()


def by_keyboard(browser, own, faults):
    sitting = Sitting(browser, own, faults)
    focus = "() => document.activeElement.id || document.activeElement.value || document.activeElement.textContent"
    order = []
    sitting.page.evaluate("document.activeElement.blur()")
    for _ in range(16):
        sitting.page.keyboard.press("Tab")
        order.append(sitting.page.evaluate(focus).strip())
    expected = ["skip", "What may stand on a line", "list", "open", "save", "copy", "example", "plan", "seconds"]
    sitting.hold(f"the order of focus is {order}", order[: len(expected)] == expected)
    sitting.page.locator("#skip").focus()
    sitting.page.keyboard.press("Enter")
    sitting.hold("the way to the answer does not lead there", sitting.page.evaluate(focus) == "answer")
    # Wrong, found, mended, asked why: without a pointer.
    sitting.page.locator("#skip").focus()
    sitting.page.keyboard.press("Tab")
    sitting.page.keyboard.press("Tab")
    sitting.page.keyboard.press("Control+a")
    sitting.page.keyboard.type("charger cube: C1 65 W\nlabtop")
    sitting.settle()
    sitting.page.keyboard.press("Tab")
    sitting.page.keyboard.press("Enter")
    sitting.hold("Enter does not lead to the words of a fault", sitting.selected() == "labtop")
    sitting.page.keyboard.type("laptop")
    sitting.settle()
    sitting.hold("no plan by the keyboard alone", "full after" in sitting.shown())
    sitting.page.locator("#questions input:checked").focus()
    sitting.page.keyboard.press("ArrowRight")
    sitting.settle()
    asked = sitting.page.locator("#questions input:checked").get_attribute("value")
    sitting.hold("the arrows do not ask another question", asked == "why")
    sitting.close()


def kept(browser, own, faults, folder):
    sitting = Sitting(browser, own, faults)
    text = SMALL + "# é 🎻 <b>\n"
    sitting.put(text)
    sitting.page.wait_for_function("() => location.hash.startsWith('#list=')", timeout=5_000)
    fragment = sitting.page.evaluate("location.hash")
    answer = sitting.shown()
    sitting.page.click("#copy")
    sitting.page.wait_for_function("() => document.getElementById('kept').textContent.includes('copied')", timeout=5_000)
    copied = sitting.page.evaluate("navigator.clipboard.readText()")
    sitting.hold("the address is not copied", copied.endswith(fragment))
    with sitting.page.expect_download() as download:
        sitting.page.click("#save")
    saved = folder / download.value.suggested_filename
    download.value.save_as(saved)
    sitting.hold("another text is saved", saved.read_text(encoding="utf-8") == text)
    sitting.hold(f"it is saved as {saved.name}", saved.suffix == ".txt")
    with sitting.page.expect_download() as download:
        sitting.page.click("#save-page")
    page = folder / "answer.html"
    download.value.save_as(page)
    sitting.hold("the saved answer is no page", page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>"))
    sitting.close()

    sitting = Sitting(browser, own, faults, fragment=fragment)
    sitting.hold("the address brings back another list", sitting.text() == text)
    sitting.hold("the address brings back another answer", sitting.shown() == answer)
    sitting.put("phone\n")
    sitting.page.set_input_files("#file", saved)
    sitting.settle()
    sitting.hold("the file brings back another list", sitting.text() == text)
    sitting.hold("the file brings back another answer", sitting.shown() == answer)
    wrong = folder / "wrong.txt"
    wrong.write_bytes(b"laptop \xff\n")
    sitting.page.set_input_files("#file", wrong)
    sitting.page.wait_for_timeout(200)
    sitting.hold("a file that is no text is taken", "not UTF-8" in sitting.seen("notice") and sitting.text() == text)
    sitting.page.set_input_files("#file", ROOT / "fixtures/desk.json")
    sitting.settle()
    sitting.hold("a document is not planned", "full after" in sitting.shown())
    sitting.close()

    sitting = Sitting(browser, own, faults, fragment="#list=bm9uc2Vuc2U")
    sitting.hold("a broken address is not told", "no list that can be read" in sitting.seen("kept"))
    sitting.hold("a broken address leaves no example", "quartet" in sitting.text())
    sitting.close()


def limits(browser, own, faults):
    sitting = Sitting(browser, own, faults)
    sitting.page.fill("#seconds", "1")
    sitting.page.keyboard.press("Tab")
    sitting.put(hard())
    sitting.hold("a limit that struck is not said", "The limit of 1 s struck" in sitting.seen("notice"))
    sitting.hold("there is no plan at the limit", "full after" in sitting.shown())
    sitting.page.fill("#seconds", "60")
    sitting.page.keyboard.press("Tab")
    sitting.page.wait_for_timeout(1_500)
    # The page answers while it thinks: no frame is late.
    gap = """async () => {
      let last = performance.now(), worst = 0;
      const until = last + 1500;
      while (last < until) {
        await new Promise(requestAnimationFrame);
        const now = performance.now();
        worst = Math.max(worst, now - last);
        last = now;
      }
      return worst;
    }"""
    sitting.hold("it does not think", sitting.page.locator("#stop").is_visible())
    worst = sitting.page.evaluate(gap)
    sitting.hold(f"the page stands still for {worst:.0f} ms", worst < 1_000)
    sitting.page.click("#stop")
    sitting.hold("stopping is not said", "You stopped it" in sitting.seen("notice"))
    sitting.hold("the plan so far is gone", "full after" in sitting.shown())
    sitting.put(SMALL)
    sitting.hold("it does not go on after it was stopped", "All 2 devices" in sitting.shown())
    sitting.close()


def hard():
    """A list that takes far longer than a second to prove."""
    lines = ["night 8 h"]
    for charger in range(4):
        ports = "; ".join(f"C{port} {watts} W" for port, watts in enumerate((65, 45, 30, 30, 20, 20), 1))
        lines.append(f"charger box {charger}: {ports}; total {97 + 13 * charger} W")
    lines.append("cable C to C, 60 W, 2 m, x24")
    for device in range(24):
        lines.append(f"stand {device}: {15 + device * 7 % 46} W, {11 + device * 13 % 53} Wh, {device * 5 % 37} % left")
    return "\n".join(lines) + "\n"


def laid_out(browser, own, faults, axe, keep):
    for width in WIDTHS:
        papers = set()
        for scheme in ("light", "dark"):
            sitting = Sitting(browser, own, faults, width, scheme)
            for name, text in (("quartet", None), ("faults", SLIPS), ("tour", "tour")):
                if text == "tour":
                    sitting.page.select_option("#example", "tour")
                    sitting.settle()
                elif text:
                    sitting.put(text)
                look(sitting, f"{name} {scheme}", axe)
                if keep:
                    sitting.page.screenshot(path=keep / f"browser-{name}-{width}-{scheme}.png", full_page=True)
            papers.add(sitting.page.evaluate("() => getComputedStyle(document.body).backgroundColor"))
            sitting.close()
        if len(papers) < 2:
            faults.append(f"at {width} px it is the same by day and by night")


def look(sitting, what, axe):
    page = sitting.page
    wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    sitting.hold(f"{what}: {wide[0]} px wide", wide[0] <= wide[1])
    for fault in text_faults([text for text in page.evaluate(TEXTS) if text["what"] not in HIDDEN]):
        sitting.wrong(f"{what}: {fault}")
    page.evaluate(axe)
    found = page.evaluate("async () => (await axe.run()).violations.map(({id, nodes}) => [id, nodes[0].html, nodes.length])")
    for violation in found:
        sitting.wrong(f"{what}: axe-core: {violation}")


# Outside the window until it is reached with the keyboard.
HIDDEN = {"To the answer"}


def as_the_binary(browser, own, faults, binary):
    """How many answers of the page and of the binary were compared."""
    sitting = Sitting(browser, own, faults)
    files = sorted(path for ending in ("json", "txt") for path in (ROOT / "fixtures").rglob(f"*.{ending}"))
    compared = refused = 0
    for path in files:
        # Of proofs the setups are setups like others.
        if "proofs" in path.parts and path.parts[-2] != "setups":
            continue
        if path.parts[-2] in ("schemas", "reference") or (path.suffix == ".txt" and path.parts[-2] == "faults"):
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        planned = native(binary, "plan", path)
        if planned.startswith('{\n  "errors"'):
            refused += same_faults(sitting, path, text, json.loads(planned)["errors"])
            continue
        compared += same_answer(sitting, planned, "plan", path, text)
        for question in (question for question, names in OTHERS.items() if path.name in names):
            compared += same_answer(sitting, native(binary, question, path), question, path, text)
    sitting.close()
    for what, count, least in (("answers", compared, 25), ("refused texts", refused, 100)):
        if count < least:
            faults.append(f"only {count} {what} were compared")
    return compared, refused


def native(binary, command, path):
    asked = [binary, {"plan": "assign"}.get(command, command), str(path), "--json"]
    return subprocess.run(asked, capture_output=True, text=True, cwd=ROOT, check=False, encoding="utf-8").stdout


def said_by(sitting, question, text):
    return sitting.page.evaluate("([question, text]) => wattberth.ask(question, text)", [question, text])


def same_answer(sitting, expected, question, path, text):
    said = said_by(sitting, question, text)
    same = said.get("answer", {}).get("document", "").strip() == expected.strip()
    sitting.hold(f"another {question} of {path.name} than the binary's: {str(said)[:200]}", same)
    return 1


def same_faults(sitting, path, text, expected):
    said = said_by(sitting, "plan", text).get("faults", [])
    of = ("line", "column", "message", "suggestion")
    found = sorted([fault[name] or None for name in of] for fault in said)
    wanted = sorted([fault.get(name) for name in of] for fault in expected)
    sitting.hold(f"other faults of {path.name} than the binary's: {found[:2]}, not {wanted[:2]}", str(found) == str(wanted))
    return 1


def named(browser, own, faults):
    """Everything can be heard: each control has a name, and each device of the plan."""
    sitting = Sitting(browser, own, faults)
    session = sitting.context.new_cdp_session(sitting.page)
    heard = squeezed(" ".join(names(session.send("Accessibility.getFullAXTree")["nodes"])))
    for wanted in ("The list", "The answer", "Asked is", "at most, in seconds", "Open a file", "score tablet 1", "laptop"):
        sitting.hold(f"not named for those who hear it: {wanted}", wanted in heard)
    sitting.close()


def main():
    arguments = asked(__doc__.splitlines()[0], "page", "binary")
    # Only its script is wanted, without what calls it.
    axe = (Path(find_spec("axe_playwright_python").origin).parent / "axe.min.js").read_text(encoding="utf-8")
    own = arguments.page.as_uri()
    size = arguments.page.stat().st_size
    faults = [] if size < MOST_BYTES else [f"the page has {size} bytes"]
    with tempfile.TemporaryDirectory() as temporary, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=arguments.chromium, args=FLAGS)
        nothing_leaves(browser, own, faults)
        typing(browser, own, faults)
        measured = first_plan(browser, own, faults)
        marked(browser, own, faults)
        by_keyboard(browser, own, faults)
        kept(browser, own, faults, Path(temporary))
        limits(browser, own, faults)
        named(browser, own, faults)
        laid_out(browser, own, faults, axe, arguments.keep)
        compared, refused = as_the_binary(browser, own, faults, arguments.binary)
        browser.close()
    for fault in faults:
        print(fault)
    times = (f"{least:.0f} ms (median {median:.0f}) for {file}" for file, (least, median) in measured.items())
    print(f"the page has {size} bytes; from a key to the answer {', '.join(times)}")
    print(f"{compared} answers and {refused} refusals as the binary's")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
