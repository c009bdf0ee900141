"""Models of the upper app, one file per noun."""

from wps.models.job import Job, Part
from wps.models.spec import Spec

__all__ = ["Job", "Part", "Spec"]
