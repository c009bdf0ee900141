"""The life of an edition of the shop's own: begun, changed, published, withdrawn; each step audited."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from qualification.codes.editions_in_force import in_force
from qualification.codes.own_cases import Broken, Judged, broken_laws, judged, read_cases, wanting
from qualification.codes.own_rows import Files, all_stamped, declared
from qualification.codes.own_tables import (
    HEAD,
    PREFIX,
    SOURCES,
    as_texts,
    build,
    files_of,
    parsed_all,
)
from qualification.models import OwnEdition
from qualification.records.audit import append, name_of
from qualification.records.drafts import Saved
from qualification.roles import Person
from qualification.rules.tabular.schema import TableError

SEED, DOCUMENTS = 1, 24
"""How many documents are drawn at publishing, each asked every law, and from which seed: the same for
everybody, so that a break can be shown again."""


class NotPublished(ValueError):
    """An edition cannot be published as it is; `reasons` say why, `broken` which documents break a law."""

    def __init__(self, reasons: Sequence[str], broken: Sequence[Broken] = ()) -> None:
        super().__init__("; ".join(reasons))
        self.reasons, self.broken = list(reasons), list(broken)


class ChangedMeanwhile(ValueError):
    """Somebody else saved the edition since the page was opened."""

    def __init__(self, saved: Saved) -> None:
        super().__init__(f"{saved.who} saved this edition while it was open here.")
        self.saved = saved


def new_key(name: str) -> str:
    """A key that no edition had before."""
    stem = PREFIX + (re.sub(r"[^a-z0-9]", "_", slugify(name)) or "edition")[:44].strip("_")
    taken = set(OwnEdition.objects.filter(key__startswith=stem).values_list("key", flat=True))
    return next(
        key for n in range(1, len(taken) + 2) if (key := stem if n == 1 else f"{stem}_{n}") not in taken
    )


def empty_files(head: Mapping[str, Any]) -> Files:
    """The tables of an edition without a row."""
    empty: Files = {
        HEAD: dict(head),
        SOURCES: {"source": []},
        "procedure.toml": {"row": []},
        "welder.toml": {"row": []},
        "bands.toml": {},
        "covers.toml": {},
    }
    return declared(empty)


def begin(parent: str, head: Mapping[str, Any], book: str, person: Person) -> OwnEdition:
    """A draft with the rows of `parent` as they are in force, or without one. `head`: what `edition.toml`
    says otherwise than the parent's. Raises TableError where that cannot be built."""
    parent_files: Mapping[str, Any] = {}
    if parent:
        held = in_force(parent)
        parent_files = held.files
        with_head: dict[str, Any] = {**held.files, HEAD: {**held.files[HEAD], **head}}
        files = declared(with_head)
    else:
        files = empty_files(head)
    key = new_key(f"{head['code']} {head['edition']}")
    made = build(key, files)
    own = OwnEdition(
        key=key,
        name=made.name[:200],
        book=book,
        files=as_texts(files),
        fingerprint=made.fingerprint,
        parent=parent,
        parent_name=held.edition.name[:200] if parent else "",
        parent_fingerprint=held.edition.fingerprint if parent else "",
        parent_files=as_texts(parent_files),
        made_by=name_of(person),
        changed_by=name_of(person),
    )
    with transaction.atomic():
        own.save()
        _note("begin_edition", own, person, {"parent": parent, "book": book})
    return own


def _note(verb: str, own: OwnEdition, person: Person, data: Mapping[str, Any]) -> None:
    append(
        verb,
        OwnEdition.KIND,
        own.pk,
        own.name[:120],
        name_of(person),
        {"key": own.key, "fingerprint": own.fingerprint, **data},
    )


def _locked(own: OwnEdition, version: str | None) -> OwnEdition:
    """Raises ChangedMeanwhile where it is another version than the page had, or no draft any more."""
    now = OwnEdition.objects.select_for_update(no_key=True).get(pk=own.pk)
    if not now.is_draft:
        raise NotPublished(
            [f"It is {now.get_state_display().lower()}; make a new edition from it to change it."]
        )
    if version is not None and version != now.version:
        raise ChangedMeanwhile(Saved(now.changed_by, now.changed_at))
    return now


def save_files(
    own: OwnEdition, files: Files, person: Person, what: str, version: str | None = None
) -> list[Judged]:
    """Store changed tables of a draft, rows that are new stamped as the shop's; the cases as they come out
    now. Raises TableError where the loader refuses them, ChangedMeanwhile."""
    with transaction.atomic():
        now = _locked(own, version)
        stamped = all_stamped(files_of(now), files, name_of(person), timezone.localdate(), now.book)
        made = build(now.key, stamped)
        now.files, now.fingerprint, now.name = as_texts(stamped), made.fingerprint, made.name[:200]
        now.changed_by = name_of(person)
        now.save()
        _note("change_edition", now, person, {"what": what})
    return judged(made, read_cases(now.cases))


def save_cases(own: OwnEdition, text: str, person: Person, version: str | None = None) -> None:
    """Store the cases of a draft. Raises TableError, ChangedMeanwhile."""
    read_cases(text)
    with transaction.atomic():
        now = _locked(own, version)
        now.cases, now.changed_by = text, name_of(person)
        now.save()
        _note("change_cases", now, person, {})


def publish(own: OwnEdition, person: Person) -> None:
    """Let records be written under it: every case comes out as stated, and no law is broken. Raises
    NotPublished, ChangedMeanwhile."""
    made = build(own.key, parsed_all(own.files))
    cases = read_cases(own.cases)
    reasons = wanting(made, cases)
    reasons += [
        f"Case “{each.case['name']}”: expected is “{each.expected}”, found “{each.found}”. {each.sentence}"
        for each in judged(made, cases)
        if not each.is_green
    ]
    if reasons:
        raise NotPublished(reasons)
    broken = broken_laws(made, cases, SEED, DOCUMENTS)
    if broken:
        raise NotPublished(["A law that holds of every code is broken. Correct the rows it names."], broken)
    with transaction.atomic():  # the laws take seconds, and nobody else could save meanwhile
        now = _locked(own, own.version)
        now.proof = {"cases": len(cases), "documents": DOCUMENTS, "seed": SEED}
        now.state, now.published_by, now.published_at = (
            OwnEdition.State.PUBLISHED,
            name_of(person),
            timezone.now(),
        )
        now.save()
        _note("publish_edition", now, person, now.proof)


def withdraw(own: OwnEdition, reason: str, person: Person) -> bool:
    """Offer it no longer; what was written under it keeps it. False where it is not published."""
    with transaction.atomic():
        now = OwnEdition.objects.select_for_update(no_key=True).get(pk=own.pk)
        if now.state != OwnEdition.State.PUBLISHED:
            return False
        now.state, now.withdrawn_because = OwnEdition.State.WITHDRAWN, reason
        now.withdrawn_by, now.withdrawn_at = name_of(person), timezone.now()
        now.save()
        _note("withdraw_edition", now, person, {"reason": reason})
    return True


def parent_seen(own: OwnEdition, person: Person) -> None:
    """Compare it from now on with its parent as it is now; its own rows stay. Raises TableError where the
    parent's tables are missing."""
    held = in_force(own.parent)
    with transaction.atomic():
        now = OwnEdition.objects.select_for_update(no_key=True).get(pk=own.pk)
        before, now.parent_fingerprint = now.parent_fingerprint, held.edition.fingerprint
        now.parent_files = as_texts(held.files)
        now.save(update_fields=["parent_fingerprint", "parent_files"])
        _note("see_parent", now, person, {"before": before, "now": now.parent_fingerprint})


def discard(own: OwnEdition, person: Person) -> bool:
    """Throw a draft away; false where it is none any more."""
    with transaction.atomic():
        now = OwnEdition.objects.select_for_update(no_key=True).get(pk=own.pk)
        if not now.is_draft:
            return False
        _note("discard_edition", now, person, {})
        now.delete()
    return True


def receive(
    files: Files, cases: str, head: Mapping[str, str], received: Mapping[str, str], person: Person
) -> OwnEdition:
    """A draft of an edition that another shop wrote. `head`: its book and parent; `received`: who signed it.
    Raises TableError where its tables or cases cannot be trusted."""
    read_cases(cases)
    name = f"{files[HEAD].get('code', '')} {files[HEAD].get('edition', '')}"
    key = new_key(name)
    made = build(key, files)
    if made.fingerprint != received["fingerprint"]:
        raise TableError("the tables are not those whose fingerprint was signed")
    with transaction.atomic():
        own = OwnEdition.objects.create(
            key=key,
            name=made.name[:200],
            book=head["book"][:120],
            files=as_texts(files),
            cases=cases,
            fingerprint=made.fingerprint,
            parent_name=f"as received from {received['shop']}"[:200],
            parent_fingerprint=made.fingerprint,
            parent_files=as_texts(files),
            received=dict(received),
            made_by=name_of(person),
            changed_by=name_of(person),
        )
        _note("receive_edition", own, person, dict(received))
    return own
