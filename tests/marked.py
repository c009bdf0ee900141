"""Tests of what is kept by the marks that SQLite's triggers draw (`qualification/records/change_marks.py`).
PostgreSQL has no mark of a single table, and none at all within a transaction that has written, so there is
nothing of it to test there; what holds instead is tested on both."""

import pytest
from django.db import connection

needs_marks = pytest.mark.skipif(connection.vendor != "sqlite", reason="This database draws no marks.")
