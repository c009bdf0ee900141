"""Engineering arithmetic: what follows from the settings of a weld by physics and geometry, whatever the
code.

Numbers that come from outside stand in `tables/engineering/`, each row with where it comes from. Quantities
enter and leave in the canonical units of `quantities.py` as Decimal wherever a code may set a limit on them;
where a formula is empirical or needs a tangent the reckoning is in floats, and the docstring says so.
"""
