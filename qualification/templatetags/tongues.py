"""Words of the program on pages and papers, in the language that speaks now."""

from __future__ import annotations

import re
from typing import Any

from django import template
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
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


NUMBERED = re.compile(r"(?<![\w-])(?:[A-Za-z]{1,6}-\d[\w.]{0,14}|\d{4}-\d{2}-\d{2})(?![\w-])")
"""A number such as WT-014, or a day in figures."""


@register.filter
def whole(text: Any) -> SafeString:
    """A text whose numbers and days each stay on one line: a browser breaks them at their hyphens, and a
    hyphen that does not break would be copied along."""
    said = NUMBERED.sub(r'<span class="whole">\g<0></span>', conditional_escape(text))
    return mark_safe(said)  # noqa: S308  what is typed is escaped


@register.simple_tag
def colon() -> str:
    """The mark between a label and its value, where a template puts the two together."""
    return pgettext("mark", ":")


@register.simple_tag
def semicolon() -> str:
    """The mark between items that a template puts side by side."""
    return pgettext("mark", ";")
