"""Numbers in attributes, scripts and drawings of a page keep the point; words of papers and pages get their
comma where they are told (`qualification/tongues/told.py`)."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ""
