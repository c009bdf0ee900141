"""The editions that have rules; the others only say what a record has to state."""

from __future__ import annotations

from qualification.rules.editions.loader import edition, editions

RULED = [name for name in editions() if not edition(name).is_content_list]
LISTS = [name for name in editions() if edition(name).is_content_list]
