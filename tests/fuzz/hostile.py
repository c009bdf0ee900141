"""Entries that programs stumble over, each once seen or seen elsewhere."""

from __future__ import annotations

from hypothesis import strategies as st

from qualification.rules.entries.completing import LONGEST
from qualification.rules.entries.reading import LONGEST_TEXT

TOO_LONG = "a" * (LONGEST_TEXT + 1)
"""A character more than the longest that any field takes."""
KNOWN = [
    "", " ", "²", "①", "٣", "½", "1²", "0", "-1", "-0", "00", "1e400", "-1e400", "1e-400", "1e5",
    "inf", "nan",
    "Infinity", "NaN", "0x10", "1_000", "9" * 19, "9" * 40, "9" * 5_000, "1/0", "AL-01/0", "0/0",
    "1 1/0", "1/1/1",
    "%", "%s", "%(value)s", "100%", "%d %n", "{}", "{0}", "{{ 7 }}", "{% now %}", "'", '"', "\\",
    "`", ";", "--", "|",
    "<b>", "</textarea>", "&amp;", "\r\n", "\n\n", "\t", "\x7f", "\u200b", "\u202e", "\ufeff",
    "\ufffd", "\U0001f525",
    "\x01", "e\u0301", "İ", "ß", "ﬁ", "ſ", "Å", "K", "µ", "–", "−5", "1–2", "2-1", "5 to", "to 5",
    "± 5", "5 ± ",
    "5 +/- 6", "max", "min 5 max", "max max 5", "n/a", "N/A; 5", "same", "same as A", "none",
    "null", "true", "[]",
    '{"a": 1}', "add:GMAW", "remove:²", "remove:0", "remove:99", "up:0", "down:-1", "add:", ":", "2026-02-30",
    "0000-00-00", "9999-12-31", "0001-01-01", "10000-01-01", "2026-1-1", "12/31/2026", "1", "2",
    "3", "../../x",
    "a" * (LONGEST + 1), TOO_LONG, "a " * (LONGEST_TEXT // 2), "(" * 300,
    "1," * 200, "1 " * 200, "/" * 300,
    ";" * 390, "A36; " * 70, "75Ar/25CO2", "Ar/-5CO2", "200Ar/-100CO2", "P-No. 1²", "M-99", "G ①",
    "NPS ²", "Sch 40x",
]  # fmt: skip

TEXTS = st.sampled_from(KNOWN) | st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
WORDS = TEXTS.filter(bool)
NUMBERS = st.integers(1, 12) | st.sampled_from([0, 2**31, 2**63, 10**30])
_LINES = [b"%.4f,150,22\n" % (number / 1e4) for number in range(400)]
FILES = st.sampled_from(
    [
        ("a.csv", b""), ("a.csv", b"\xff\xfe\x00"), ("\u00b2%.csv", "t;I;U\n0;²;1\n".encode("latin-1")),
        ("a.csv", b"t,I,U\n" + b"0,1e400,nan\n" * 50), ("a.csv", b"a" * 70_000), ("a.csv", b"\x00" * 500),
        ("a.csv", b"(" * 5_000 + b"\n1\n2\n"), ("a.pdf", b"%PDF-1.7\n"), ("a.png", b"\x89PNG\r\n\x1a\n"),
        ("a" * 300 + ".pdf", b"%PDF-1.7"), ("a.p12", b"0\x82"), ("..", b"1"),
        ("a.csv", b"Time (s),Current (A),Voltage (V)\n" + b"".join(_LINES)),
    ]
)  # fmt: skip
