"""Values, texts and pieces of labels that a document does not expect."""


class Object(list):
    """[[key, value], …] in the order of the text."""


class Raw(str):
    """Text that is written as it stands."""


EXTREMES = [
    Raw(text)
    for text in (
        "0", "-0", "-1", "1", "2", "0.5", "1e-9", "1e-7", "1e-300", "0.000001", "1e308", "1e309", "-1e308", "NaN",
        "Infinity", "-Infinity", "1000000000000000000000000", "18446744073709551616", "9223372036854775807",
        "4294967296", "2147483648", "9007199254740993", "1.0000000000000002", "00", "1.", ".5", "+1", "0x10", "1e",
        "1_000", "true", "false", "null", "undefined",
    )
]
# Just inside and just outside the limits of sizes and quantities.
LIMITS = [
    1, 2, 3, 16, 17, 32, 33, 64, 65, 100, 240, 255, 256, 257, 999, 1000, 1001, 9999, 10000, 10001, 1e6,
    1e9,
]
TEXTS = [
    "", " ", "\t", "\n", "a", "null", "0", "5V", "C1", "usb-c", "usb-a", "other:", "other:x", "all", "DK", "XX", "EF",
    "n" * 199, "n" * 200, "n" * 201, "long name " * 25, "ü" * 100, "木" * 99, "e\u0301" * 60, "\x00", "a\x07b",
    "\x1b[31mred\x1b[0m", "a\nb", "a\r\nb", "\u202edesrever", "\u2066x\u2069", "\u200f", "\u200b", "\ufeff", "\u2028",
    "\ud800", "👩\u200d👩\u200d👧\u200d👦", "<svg onload=x>", "]]>", "&amp;", "\"quoted\"", "back\\slash", "a/b", "a/b/c",
    "/", "../x", "-", "--json", "%s%n", "`tick`", "{}", "[]", "${x}", "ﷺ" * 30,
]
WRONG_TYPES = [
    Object(), [], [[]], Object([["a", 1]]), [1, 2], [None], "text", 7, True, False, None, [["a", "b"]], [[0, 1], [100, 2]],
]
LABEL_PIECES = [
    "5V", "9V", "20V", "3A", "2.4A", "5A", "65W", "max", "PPS", "AVS", "PD", "QC", "3.3-11V", "3.3–21V", "15-28V", "⎓",
    "=", "/", ",", ";", " or ", "Output:", "USB-C1:", "2,22A", "2000mA", "0V", "0A", "-5V", "5", "V", "A", "W", "mA",
    "1e9A", "999999999999V", "9V3A", "5V5V", "(", ")", "100W", "100-240V~", "50/60Hz", "5V 3A",
    "5V 3A, 9V 3A, 15V 3A, 20V 5A", "\n", "\t", "\xa0", "−", "·", "٣", "Ⅴ", "0.000001A", "48V 5A", "90V 1A",
]
LETTERS = "abcxyz019 _-./,;:VAW⎓µé木\u202e\x00\n\"\\"
# Fields that have a limit worth trying, by what they are fields of.
COUNTED = {
    "": ["session_h"],
    "devices": ["count", "priority", "ready_by_h", "start_pct", "min_w"],
    "cables": ["count", "length_m", "max_a"],
    "ports": ["max_w", "pd_w"],
    "chargers": ["max_w"],
    "pools": ["max_w"],
    "stops": ["nights", "outlets", "session_h"],
    "sessions": ["hours"],
    "adapters": ["count", "max_a"],
    "trip": ["travellers"],
}
