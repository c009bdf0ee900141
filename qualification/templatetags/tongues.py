"""Words of the program on pages and papers, in the language that speaks now."""

from __future__ import annotations

from django import template
from django.utils.translation import pgettext

from qualification.tongues import told as telling
from qualification.tongues.languages import language_now

register = template.Library()
register.filter("told", telling.told)
register.filter("told_number", telling.told_number)
register.filter("told_within", telling.told_within)
register.filter("told_low", telling.told_low)
register.filter("told_or", telling.told_or)
register.filter("told_source", telling.told_source)
register.filter("told_list", telling.told_list)
register.simple_tag(language_now, name="language_now")


@register.simple_tag
def colon() -> str:
    """The mark between a label and its value, where a template puts the two together."""
    return pgettext("mark", ":")


@register.simple_tag
def semicolon() -> str:
    """The mark between items that a template puts side by side."""
    return pgettext("mark", ";")
