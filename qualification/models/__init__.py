"""Models of the lower app, one file per noun."""

from qualification.models.shop import Shop

__all__ = ["Shop"]
