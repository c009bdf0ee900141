"""Pages as a browser folds their white space, so that a test names what a reader sees and not where a line of
a template ends."""

import re

BLOCKS = (
    "address article aside blockquote body caption circle col colgroup dd details dialog div dl dt fieldset"
    " footer form g h1 h2 h3 h4 h5 h6 head header hr html legend li line link main meta nav ol optgroup"
    " option p path rect script section table tbody td template tfoot th thead tr ul use"
).replace(" ", "|")
KEPT = re.compile(r"(<(pre|textarea|script|style)\b.*?</\2>)", re.S | re.I)
LINE_END = re.compile(r"\s*\n\s*")
AFTER_BLOCK = re.compile(rf"(</?(?:{BLOCKS})\b[^<>]*>)\n", re.I)
BEFORE_BLOCK = re.compile(rf"\n(?=</?(?:{BLOCKS})\b)", re.I)


def folded(html: str) -> str:
    """Line ends go where a block begins or ends, and are a space elsewhere; preformatted text stays."""
    pieces = KEPT.split(html)
    for place in range(0, len(pieces), 3):
        piece = LINE_END.sub("\n", pieces[place])
        pieces[place] = BEFORE_BLOCK.sub("", AFTER_BLOCK.sub(r"\1", piece)).replace("\n", " ")
    return "".join(piece for place, piece in enumerate(pieces) if place % 3 != 2)
