"""Saving a form of a draft edition: what somebody saved meanwhile, or the loader refuses, is said on the page
that keeps what was typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.codes.own_editions import ChangedMeanwhile, NotPublished
from qualification.forms.own_row import in_words
from qualification.models import OwnEdition
from qualification.rules.tabular.schema import TableError
from qualification.views.own_editions import FOLDER


class Saving:
    """One form of a draft, and what came of saving it."""

    def __init__(self, request: HttpRequest, own: OwnEdition, form: forms.Form) -> None:
        self.request, self.own, self.form = request, own, form
        self.version: str = request.POST.get("version", own.version)
        self.conflict: ChangedMeanwhile | None = None
        self.done: Any = None
        """What the save gave back."""

    def by(self, save: Callable[[str], Any], field: str | None = None) -> bool:
        """Call `save` with the version the page had. False where nothing was written; `field` bears what the
        loader refuses."""
        try:
            self.done = save(self.version)
        except ChangedMeanwhile as conflict:
            self.conflict, self.version = conflict, OwnEdition.objects.get(pk=self.own.pk).version
        except TableError as error:
            self.form.add_error(field, in_words(error))
        except NotPublished as refused:
            self.form.add_error(None, str(refused))
        else:
            return True
        return False

    def page(self, template: str, **context: Any) -> HttpResponse:
        """The page with the form as it was typed."""
        said = {"own": self.own, "form": self.form, "conflict": self.conflict, "version": self.version}
        status = 409 if self.conflict else 422 if self.form.errors else 200
        return render(self.request, f"{FOLDER}/{template}.html", {**said, **context}, status=status)
