"""Documents changed at random: on the tree of a JSON text, on its labels and names, on its bytes.

A tree keeps what a text can say and a dictionary cannot: an object is a list of pairs, so that a key may come twice,
and `Raw` is written as it stands, so that a number may be NaN. Every choice comes from the random numbers given.
"""

import json

from hostile import COUNTED, EXTREMES, LABEL_PIECES, LETTERS, LIMITS, TEXTS, WRONG_TYPES, Object, Raw

# Changes on changes could make a text of any size.
MOST_SIZE = 1_000_000


def read(text):
    """The tree of a JSON text."""
    return json.loads(text, object_pairs_hook=lambda pairs: Object([key, value] for key, value in pairs))


def write(tree):
    """The text of a tree."""
    if isinstance(tree, Raw):
        return str(tree)
    if isinstance(tree, Object):
        return "{" + ", ".join(f"{quoted(key)}: {write(value)}" for key, value in tree) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(write(value) for value in tree) + "]"
    if isinstance(tree, str):
        return quoted(tree)
    return json.dumps(tree)


def quoted(text):
    """A JSON text; half a surrogate pair can only be written as an escape."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return json.dumps(text)
    return json.dumps(text, ensure_ascii=False)


def places(tree):
    """Every (holder, index) of a tree; of an object, the index of the pair."""
    found, left = [], [tree]
    while left:
        holder = left.pop()
        for index, value in enumerate(holder):
            found.append((holder, index))
            value = value[1] if isinstance(holder, Object) else value
            if isinstance(value, list):
                left.append(value)
    return found


def value_at(holder, index):
    return holder[index][1] if isinstance(holder, Object) else holder[index]


def put(holder, index, value):
    if isinstance(holder, Object):
        holder[index] = [holder[index][0], value]
    else:
        holder[index] = value


def size(value):
    """About as many characters as the text of a tree has."""
    if isinstance(value, list):
        return 2 + sum(2 + size(part) for part in value)
    return len(value) if isinstance(value, str) else 4


def copied(value):
    return type(value)(copied(part) for part in value) if isinstance(value, list) else value


class Mutator:
    """Changes trees and texts; `parts` are (kind of object, key, value) of documents, to be put elsewhere."""

    def __init__(self, rng, parts):
        self.rng = rng
        self.parts = parts
        self.keys = sorted({key for _, key, _ in parts})

    def text(self, text, wild=True):
        """A document's text with none to several changes; without `wild`, mostly still a legal document."""
        rng = self.rng
        changes = rng.choices([0, 1, 2, 3, rng.randint(4, 12)], [6, 46, 22, 14, 12])[0]
        if not wild or rng.random() > 0.12:
            gentle = not wild or rng.random() < 0.75
            try:
                return self.of_tree(read(text), changes, gentle).encode(errors="surrogatepass")
            except (ValueError, RecursionError):
                pass  # It is no JSON, or too deep for a tree.
        data = text.encode(errors="surrogatepass")
        for _ in range(max(1, changes)):
            data = self.bytes(data)
        return data

    def of_tree(self, tree, changes, gentle):
        """The text of a tree after so many changes."""
        for _ in range(changes):
            holder = [tree]
            (self.gentle if gentle and self.rng.random() < 0.95 else self.wild)(holder)
            tree = holder[0] if holder else Raw("")
            if size(tree) > MOST_SIZE:
                break
        written = write(tree)
        if self.rng.random() < 0.1:
            written = (
                json.dumps(json.loads(written), indent=1)
                if gentle and legal(written)
                else written.replace(", ", ",\r\n")
            )
        return written

    def at_random(self, tree, wanted=lambda value: True):
        """A random place whose value is wanted, or none."""
        found = [place for place in places(tree) if wanted(value_at(*place))]
        return self.rng.choice(found) if found else None

    def gentle(self, tree):
        """A change after which most documents are still legal."""
        rng = self.rng
        changes = {
            self.number: 6,
            self.part: 6,
            self.count: 2,
            self.swap_alike: 2,
            self.label_of_another: 2,
            self.repeat: 2,
            self.drop: 1,
            self.name: 1,
        }
        change = rng.choices(list(changes), list(changes.values()))[0]
        change(tree)

    def wild(self, tree):
        """Any change at all."""
        rng = self.rng
        change = rng.choice(
            [
                self.number,
                self.count,
                self.part,
                self.drop,
                self.repeat,
                self.name,
                self.label,
                self.label,
                self.key,
                self.extreme,
                self.extreme,
                self.wrong_type,
                self.swap_any,
                self.empty,
                self.twice,
                self.many,
                self.deep,
            ]
        )
        change(tree)

    def number(self, tree):
        place = self.at_random(tree, lambda value: isinstance(value, (int, float)) and not isinstance(value, bool))
        if place:
            old, rng = value_at(*place), self.rng
            new = rng.choice(
                [
                    old * rng.choice([0.1, 0.5, 0.9, 0.999999, 1.000001, 1.1, 2, 10]),
                    rng.choice([1, 2, 5, 9, 15, 20, 30, 60, 100]),
                    rng.randint(0, 9),
                    old + 1,
                    old - 1,
                    rng.random() * 100,
                    round(rng.random() * 30, 1),
                    0.01,
                    1e-6,
                ]
            )
            put(*place, int(new) if isinstance(old, int) and rng.random() < 0.7 else new)

    def count(self, tree):
        """A count, a time or a size at or just beyond its limit."""
        homes = [pair for pair in objects(tree[0]) if pair[0] in COUNTED]
        if homes:
            kind, home = self.rng.choice(homes)
            key = self.rng.choice(COUNTED[kind])
            set_key(home, key, self.rng.choice(LIMITS[: 8 if self.rng.random() < 0.8 else None]))

    def part(self, tree):
        """A pair of another document into an object of the same kind, now and then of another."""
        kind, key, value = self.rng.choice(self.parts)
        homes = list(objects(tree[0]))
        alike = [pair for pair in homes if pair[0] == kind]
        if homes:
            set_key(self.rng.choice(alike if alike and self.rng.random() < 0.97 else homes)[1], key, copied(value))

    def label_of_another(self, tree):
        place = self.at_random(tree, is_label)
        labels = [value for _, _, value in self.parts if is_label(value)]
        if place and labels:
            put(*place, self.rng.choice(labels))

    def label(self, tree):
        place = self.at_random(tree, is_label) or self.at_random(tree, lambda value: isinstance(value, str))
        if not place:
            return
        text, rng = list(value_at(*place)), self.rng
        for _ in range(rng.choice([1, 1, 2, 3, 8])):
            at = rng.randint(0, len(text))
            edit = rng.randrange(4)
            if edit == 0:
                text[at : at + 1] = []
            elif edit == 1:
                text[at:at] = rng.choice(LABEL_PIECES)
            elif edit == 2:
                text[at : at + 1] = rng.choice(LETTERS)
            else:
                text[at:at] = text[: rng.choice([1, 3, 9, 1000])]
        put(*place, "".join(text))

    def name(self, tree):
        named = [
            (home, i)
            for home, i in places(tree)
            if isinstance(home, Object) and home[i][0] in ("name", "port", "cable", "charger", "device")
        ]
        if named:
            home, index = self.rng.choice(named)
            other = value_at(*self.rng.choice(named))
            put(
                home,
                index,
                self.rng.choice(
                    [other, self.rng.choice(TEXTS), "n" * self.rng.randint(1, 205), "木 " * self.rng.randint(1, 60)]
                ),
            )

    def drop(self, tree):
        place = self.at_random(tree)
        if place:
            del place[0][place[1]]

    def repeat(self, tree):
        """An element of a list once more, with another name."""
        place = self.at_random(tree, lambda value: isinstance(value, list) and not isinstance(value, Object) and value)
        if place:
            elements = value_at(*place)
            again = copied(self.rng.choice(elements))
            if isinstance(again, Object) and self.rng.random() < 0.9:
                set_key(again, "name", f"another {self.rng.randint(0, 999)}")
            elements.insert(self.rng.randint(0, len(elements)), again)

    def many(self, tree):
        """A list repeated until it is long, its elements named apart or not."""
        place = self.at_random(tree, lambda value: isinstance(value, list) and value)
        if place:
            elements = value_at(*place)
            apart, times = self.rng.random() < 0.7, self.rng.choice([2, 5, 20, 64, 257])
            times = max(1, min(times, 2000 // len(elements), MOST_SIZE // size(elements)))
            longer = []
            for i in range(times):
                for element in elements:
                    element = copied(element)
                    if apart and isinstance(element, Object) and not isinstance(elements, Object):
                        set_key(element, "name", f"copy {i} {len(longer)}")
                    longer.append(element)
            put(*place, type(elements)(longer))

    def deep(self, tree):
        place = self.at_random(tree)
        if place:
            depth = self.rng.choice([1, 5, 127, 129, 600])
            put(
                *place,
                Raw("[" * depth + "]" * depth if self.rng.random() < 0.5 else '{"a":' * depth + "1" + "}" * depth),
            )

    def swap_alike(self, tree):
        first = self.at_random(tree)
        if first:
            kind = type(value_at(*first))
            self.swap(first, self.at_random(tree, lambda value: type(value) is kind))

    def swap_any(self, tree):
        first = self.at_random(tree)
        if first:
            self.swap(first, self.at_random(tree))

    def swap(self, first, second):
        one, other = copied(value_at(*first)), copied(value_at(*second))
        put(*first, other)
        put(*second, one)

    def key(self, tree):
        """A key with a near name, or that of another field."""
        keyed = [(home, i) for home, i in places(tree) if isinstance(home, Object)]
        if keyed:
            home, index = self.rng.choice(keyed)
            old, rng = home[index][0], self.rng
            at = rng.randint(0, max(0, len(old) - 1))
            new = rng.choice(
                [
                    old[:at] + old[at + 1 :],
                    old[:at] + old[at : at + 1] * 2 + old[at + 1 :],
                    old.upper(),
                    old + " ",
                    rng.choice(self.keys),
                    rng.choice(TEXTS),
                    old[:at] + rng.choice(LETTERS) + old[at:],
                ]
            )
            home[index] = [new, home[index][1]]

    def twice(self, tree):
        """The same key a second time."""
        keyed = [(home, i) for home, i in places(tree) if isinstance(home, Object)]
        if keyed:
            home, index = self.rng.choice(keyed)
            home.insert(self.rng.randint(0, len(home)), copied_pair(home[index]))

    def extreme(self, tree):
        place = self.at_random(tree, lambda value: not isinstance(value, list))
        if place:
            put(
                *place,
                self.rng.choice(EXTREMES if self.rng.random() < 0.6 else TEXTS if self.rng.random() < 0.7 else LIMITS),
            )

    def wrong_type(self, tree):
        place = self.at_random(tree)
        if place:
            put(*place, copied(self.rng.choice(WRONG_TYPES)))

    def empty(self, tree):
        place = self.at_random(tree, lambda value: isinstance(value, list))
        if place:
            put(*place, type(value_at(*place))())

    def bytes(self, data):
        """Bytes flipped, cut, put in, moved."""
        rng = self.rng
        at = rng.randint(0, len(data))
        to = min(len(data), at + rng.choice([1, 1, 2, 8, 64]))
        change = rng.randrange(9)
        if change == 0 and at < len(data):
            return data[:at] + bytes([data[at] ^ 1 << rng.randrange(8)]) + data[at + 1 :]
        if change == 1:
            return data[:at]
        if change == 2:
            return data[:at] + bytes(rng.randrange(256) for _ in range(rng.choice([1, 1, 2, 5]))) + data[at:]
        if change == 3:
            return rng.choice([b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b" ", b"\x00"]) + data
        if change == 4:
            return (
                data[:at]
                + rng.choice([b"\xff", b"\xc3", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xc0\x80", b"\xe2\x80\xae"])
                + data[at:]
            )
        if change == 5:
            return data[:at] + data[to:]
        if change == 6:
            return data[:at] + data[at:to] * rng.choice([2, 3, 50]) + data[to:]
        if change == 7:
            return data[:at] + rng.choice(list(b'{}[]",:\\/-+.eE0123456789 \t\r\n')).to_bytes(1, "big") + data[at:]
        return data.replace(b"\n", rng.choice([b"\r\n", b"\r", b"\x0b", b""])) + rng.choice(
            [b"", b"\n", b"\x00", b"{}", b"\x1a"]
        )


def copied_pair(pair):
    return [pair[0], copied(pair[1])]


def set_key(home, key, value):
    for index, pair in enumerate(home):
        if pair[0] == key:
            home[index] = [key, value]
            return
    home.append([key, value])


def is_label(value):
    return isinstance(value, str) and any(letter.isdigit() for letter in value) and any(unit in value for unit in "VA")


def legal(text):
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def objects(tree, kind=""):
    """Every (kind, object) of a tree; the kind is the key that it stands under."""
    if isinstance(tree, Object):
        yield kind, tree
        for key, value in tree:
            yield from objects(value, key)
    elif isinstance(tree, list):
        for value in tree:
            yield from objects(value, kind)


def parts_of(texts):
    """Every (kind of object, key, value) of some documents, each once."""
    found = {}
    for text in texts:
        try:
            tree = read(text)
        except (ValueError, RecursionError):
            continue
        for kind, home in objects(tree):
            for key, value in home:
                found.setdefault((kind, key, write(value)[:4000]), value)
    return [(kind, key, value) for (kind, key, _), value in sorted(found.items(), key=lambda item: item[0])]
