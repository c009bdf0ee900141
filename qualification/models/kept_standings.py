"""How a welder's qualifications stand in short, kept for lists of many welders."""

from __future__ import annotations

from django.db import models


class KeptStandings(models.Model):
    """What was worked out last of one welder. It is read only while nothing has changed since that it rests
    on, and worked out anew else (`welders/in_short.py`)."""

    welder = models.OneToOneField("qualification.Welder", models.CASCADE, related_name="+")
    said = models.TextField()
    """Sealed: what was written past the program is not read."""

    def __str__(self) -> str:
        return str(self.welder)
