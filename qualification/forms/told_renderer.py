"""Draws form fields with their choices in the reader's language."""

from __future__ import annotations

from typing import Any

from django.forms.renderers import DjangoTemplates

from qualification.tongues.languages import ENGLISH, language_now
from qualification.tongues.told import told


class ToldRenderer(DjangoTemplates):
    """Django's own templates; the labels of choices are told, what is posted stays the same."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        if language_now() != ENGLISH and "optgroups" in context.get("widget", {}):
            widget = context["widget"]
            groups = [
                (told(name) if name else name, [_told(each) for each in options], index)
                for name, options, index in widget["optgroups"]
            ]
            context = {**context, "widget": {**widget, "optgroups": groups}}
        return super().render(template_name, context, request)


def _told(option: dict[str, Any]) -> dict[str, Any]:
    return {**option, "label": told(option["label"])}
