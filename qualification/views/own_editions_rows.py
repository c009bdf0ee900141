"""Rows of a draft edition: added, changed, removed, tried on a coupon; whole tables as text or taken over."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.codes.editions_in_force import in_force
from qualification.codes.own_cases import Judged, read_cases
from qualification.codes.own_columns import body_shown
from qualification.codes.own_editions import ChangedMeanwhile, NotPublished, save_files
from qualification.codes.own_examples import example_of
from qualification.codes.own_parts import LISTED
from qualification.codes.own_rows import (
    Files,
    declared,
    end_of,
    has_form,
    kind_in_words,
    stamped,
    with_row,
    without_row,
)
from qualification.codes.own_tables import HEAD, NAMED, RULES, as_text, build, files_of, parsed
from qualification.forms.own_case import ExampleForm
from qualification.forms.own_edition import TableTextForm, TakeTableForm, heading_of
from qualification.forms.own_row import OwnRowForm, RowStartForm, in_words
from qualification.models import OwnEdition
from qualification.posted import number_in, posted
from qualification.records.audit import name_of
from qualification.roles import approver_required, may_approve, reader_required
from qualification.rules.editions.table_words import row_in_words, tables_in_words
from qualification.rules.tabular.overlay import Path, value_at
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.registry import registry
from qualification.views.own_editions import FOLDER, draft_or_404, own_or_404
from qualification.views.own_editions_saving import Saving


@reader_required
def own_table(request: HttpRequest, pk: int, file: str) -> HttpResponse:
    """The rows of one table."""
    own = own_or_404(pk)
    files = files_of(own)
    if f"{file}.toml" not in files:
        raise Http404
    try:
        tables = tables_in_words(build(own.key, files), files)
    except TableError as error:
        raise Http404 from error
    table = next((each for each in tables if each.file == file), None)
    context = {
        "own": own,
        "table": table,
        "file": file,
        "heading": heading_of(f"{file}.toml"),
        "has_form": f"{file}.toml" in (*RULES, *NAMED, *LISTED),
        "with_form": [r.path for r in table.rows if has_form(f"{file}.toml", r.path, files)] if table else [],
        "may_change": may_approve(request.user) and own.is_draft,
        "as_text": as_text(files[f"{file}.toml"]) if table is None else "",
    }
    return render(request, f"{FOLDER}/table.html", context)


@approver_required
def own_row_start(request: HttpRequest, pk: int) -> HttpResponse:
    """What a new row is about."""
    own = draft_or_404(pk)
    form = RowStartForm(files_of(own), request.GET if "table" in request.GET else None)
    if form.is_bound and form.is_valid():
        cleaned = form.cleaned_data
        file, _, table = cleaned["table"].partition("/")
        asked = {"name": table or cleaned["name"]}
        asked |= {"variable": cleaned["variable"], "rule": cleaned["rule"]} if file in RULES else {}
        asked |= {"of": cleaned["of"]} if file == "bands.toml" and not table else {}
        address = reverse("own_row_add", args=[own.pk, file.removesuffix(".toml")])
        return redirect(f"{address}?{urlencode(asked)}")
    context = {"own": own, "form": form}
    return render(request, f"{FOLDER}/row_start.html", context, status=422 if form.errors else 200)


@approver_required
def own_row_add(request: HttpRequest, pk: int, file: str) -> HttpResponse:
    """A new row behind the last of its table."""
    own, name, table = draft_or_404(pk), f"{file}.toml", request.GET.get("name", "")[:40]
    if name not in RULES and not table:
        raise Http404
    path = end_of(files_of(own), name, table)
    row = {key: request.GET.get(key, "") for key in ("variable", "rule")} if name in RULES else {}
    return _row(request, own, name, path, row, is_new=True)


@approver_required
def own_row(request: HttpRequest, pk: int, file: str, place: str) -> HttpResponse:
    """One row: changed, or confirmed as it stands."""
    own = draft_or_404(pk)
    path, row = _found(own, file, place)
    return _row(request, own, f"{file}.toml", path, row, is_new=False)


def _found(own: OwnEdition, file: str, place: str) -> tuple[Path, dict[str, Any]]:
    path: Path = tuple(step if (n := number_in(step)) is None else n for step in place.split("/"))
    row = value_at(files_of(own).get(f"{file}.toml", {}), path)
    if not isinstance(row, dict) or "clause" not in row or not has_form(f"{file}.toml", path, files_of(own)):
        raise Http404
    return path, row


def _row(
    request: HttpRequest, own: OwnEdition, file: str, path: Path, row: dict[str, Any], *, is_new: bool
) -> HttpResponse:
    try:
        form = OwnRowForm(
            own.key, files_of(own), file, path, row, posted(request), of=request.GET.get("of", "")[:40]
        )
    except (KeyError, ValueError, TypeError) as error:
        raise Http404 from error
    side = "welder" if file == "welder.toml" else "procedure"
    example = ExampleForm(side, posted(request), coupon=_first_coupon(own, side))
    saving = Saving(request, own, form)
    if request.method == "POST" and form.is_valid() and "try" not in request.POST:

        def save(version: str) -> list[Judged]:
            return save_files(own, _stamped_files(own, form, request), request.user, _said(form), version)

        if saving.by(save):
            _tell(request, "The row is saved.", saving.done)
            return redirect("own_table", own.pk, file.removesuffix(".toml"))
    return saving.page(
        "row",
        file=file.removesuffix(".toml"),
        place="/".join(map(str, path)),
        heading=heading_of(file),
        row=row,
        kind=kind_in_words(row["rule"]) if row.get("rule") else "",
        subject=registry()[row["variable"]].label if row.get("variable") else "",
        example=example,
        is_new=is_new,
        **_shown(form, example, side),
    )


def _stamped_files(own: OwnEdition, form: OwnRowForm, request: HttpRequest) -> Files:
    """The tables with the row marked as the shop's: also one that was confirmed as it stands."""
    note = form.cleaned_data.get("note", "")
    row = stamped(form.built_row, name_of(request.user), timezone.localdate(), own.book, note)
    return with_row(form.tables, form.file, form.path, row, form.of)


def _said(form: OwnRowForm) -> str:
    return f"{form.file}, {form.built_row.get('clause', '')}"[:160]


def _first_coupon(own: OwnEdition, side: str) -> str:
    """The coupon of the first case, to begin with."""
    try:
        cases = read_cases(own.cases)
    except TableError:
        return ""
    return next((body_shown(case["coupon"]) for case in cases if case["side"] == side), "")


def _shown(form: OwnRowForm, example: ExampleForm, side: str) -> dict[str, Any]:
    """The sentence the row makes, and the range of the coupon with it."""
    edition, row = form.made, getattr(form, "built_row", None)
    if not form.is_bound:
        try:
            edition, row = build(form.key, form.tables), form.row if form.row.get("clause") else None
        except TableError:
            return {}
    found: dict[str, Any] = {}
    if edition is None:
        return found
    if row is not None:
        found["words"] = row_in_words(
            edition, form.file, form.path, {"provenance": "shop", **row, "source": []}
        )
    if example.is_bound and example.is_valid() and example.body is not None:
        found["range"] = example_of(edition, side, *example.body, str(form.row.get("variable", "")))
    return found


def _tell(request: HttpRequest, done: str, cases: list[Judged]) -> None:
    red = [each.case["name"] for each in cases if not each.is_green]
    if red:
        messages.warning(
            request, f"{done} {len(red)} of {len(cases)} cases come out otherwise: {'; '.join(red)}."
        )
    else:
        messages.success(request, f"{done} All {len(cases)} cases come out as stated." if cases else done)


@approver_required
@require_POST
def own_row_remove(request: HttpRequest, pk: int, file: str, place: str) -> HttpResponse:
    """Take a row out; refused where another needs it."""
    own = draft_or_404(pk)
    path, _ = _found(own, file, place)
    try:
        after = without_row(files_of(own), f"{file}.toml", path)
        cases = save_files(
            own, after, request.user, f"{file}.toml without {place}", request.POST.get("version")
        )
    except (TableError, ChangedMeanwhile, NotPublished) as error:
        said = in_words(error) if isinstance(error, TableError) else f"{error} Nothing was removed."
        messages.warning(request, said)
    else:
        _tell(request, "The row is removed.", cases)
    if f"{file}.toml" in files_of(own_or_404(pk)):
        return redirect("own_table", own.pk, file)
    return redirect(own)


@approver_required
def own_table_text(request: HttpRequest, pk: int, file: str) -> HttpResponse:
    """A whole table as text, through the same loader."""
    own, name = draft_or_404(pk), f"{file}.toml"
    files = files_of(own)
    if name not in files:
        raise Http404
    form = TableTextForm(posted(request), initial={"text": as_text(files[name])})
    saving = Saving(request, own, form)
    if request.method == "POST" and form.is_valid():

        def save(version: str) -> list[Judged]:
            after = declared({**files, name: parsed(name, form.cleaned_data["text"])})
            return save_files(own, after, request.user, name, version)

        if saving.by(save, "text"):
            _tell(request, "The table is saved.", saving.done)
            return redirect("own_table", own.pk, file)
    return saving.page("table_text", file=file, heading=heading_of(name))


@approver_required
def own_table_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a whole table over from another edition."""
    own = draft_or_404(pk)
    form = TakeTableForm(own, posted(request))
    if request.method == "POST" and form.is_valid():
        name, other = form.cleaned_data["file"], in_force(form.cleaned_data["edition"])
        if name not in other.files:
            form.add_error("file", f"{other.edition.name} has no such table. Choose another.")
        else:
            try:
                cases = save_files(own, _taken(files_of(own), other.files, name), request.user, name)
            except (TableError, NotPublished) as error:
                form.add_error(None, in_words(error) if isinstance(error, TableError) else str(error))
            else:
                _tell(request, "The table is taken over.", cases)
                return redirect("own_table", own.pk, name.removesuffix(".toml"))
    context = {"own": own, "form": form}
    return render(request, f"{FOLDER}/table_take.html", context, status=422 if form.errors else 200)


def _taken(files: Files, other: Any, name: str) -> Files:
    """The tables with one of another edition, and the pages that its rows name."""
    own = files["sources.toml"]["source"]
    known = {each["key"] for each in own}
    more = [each for each in other["sources.toml"]["source"] if each["key"] not in known]
    return declared(
        {**files, name: other[name], "sources.toml": {"source": [*own, *more]}, HEAD: files[HEAD]}
    )
