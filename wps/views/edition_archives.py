"""Editions of the shop's own that leave it and come in: exported signed, imported as a draft to look at."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.forms.fields import layout_of
from qualification.models import OwnEdition
from qualification.posted import posted, posted_files
from qualification.records.audit import append, name_of
from qualification.roles import approver_required
from wps.outside.edition_archive import LARGEST, NotImported, export, read_archive, take_in


class EditionFileForm(forms.Form):
    """The file that another shop exported."""

    file = forms.FileField(
        label="Exported edition",
        help_text="The .zip file that the other shop exported. It becomes a draft; nothing uses it yet.",
        error_messages={
            "required": "Choose the file the other shop exported.",
            "empty": "The file is empty. Choose the file the other shop exported.",
            "invalid": "The file did not arrive. Choose it again.",
            "missing": "The file did not arrive. Choose it again.",
        },
    )
    helper = layout_of(layout=None)


@approver_required
def own_edition_export(request: HttpRequest, pk: int) -> HttpResponse:
    """A published edition as one signed file."""
    own = get_object_or_404(OwnEdition, pk=pk, state=OwnEdition.State.PUBLISHED)
    content = export(own, request.user)
    append(
        "export_edition",
        OwnEdition.KIND,
        own.pk,
        own.name[:120],
        name_of(request.user),
        {"key": own.key, "fingerprint": own.fingerprint},
    )
    answer = HttpResponse(content, content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="{own.key}.zip"'
    return answer


@approver_required
def own_edition_import(request: HttpRequest) -> HttpResponse:
    """Take an exported edition in as a draft; refused where a byte is not as signed."""
    form = EditionFileForm(posted(request), posted_files(request))
    if request.method == "POST" and form.is_valid():
        try:
            file = form.cleaned_data["file"]
            if file.size > LARGEST:
                raise NotImported(
                    "The file is larger than an edition is. Choose an edition that was exported."
                )
            own = take_in(read_archive(file.read()), request.user)
        except NotImported as refused:
            form.add_error("file", str(refused))
        else:
            messages.success(request, "The edition is a draft. Look at who signed it, then at its rows.")
            return redirect(own)
    context = {"form": form}
    return render(
        request, "qualification/own_editions/import.html", context, status=422 if form.errors else 200
    )
