"""A document that rests on numbers nobody has confirmed says so in its cautions; a number the shop confirmed
is not among them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.template.loader import render_to_string

from qualification.models import Record, Shop, TableCheck
from qualification.rules.core.findings import Provenance
from qualification.rules.editions.loader import shipped_files
from qualification.rules.tabular.overlay import hash_of, rows_of
from tests.shop_records import EDITION, approve, job, part, procedure_test, spec, welder, welder_test
from wps.documents.context import content_of, document_context, unconfirmed_in
from wps.documents.issue import words_of
from wps.models import Packet
from wps.packets import front
from wps.packets.contents import contents_of

pytestmark = pytest.mark.usefixtures("shop")
SAID = "not been confirmed against a copy of the code"
DAY = date(2031, 4, 1)


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    """Four weeks after the coupons of `shop_records` were welded."""
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def confirm(wanted: Callable[[str, dict[str, Any]], bool] = lambda file, row: True) -> int:
    """Hold rows nobody has confirmed against the shop's copy; how many there were."""
    found = [
        TableCheck(
            edition=EDITION,
            file=file,
            path=list(path),
            clause=row["clause"][:120],
            row_hash=hash_of(row),
            person_name="Tobias Quell",
            checked_on=date(2026, 1, 15),
            copy="office copy 2",
        )
        for file, path, row in rows_of(shipped_files(EDITION))
        if row["provenance"] == Provenance.MEMORY and wanted(file, row)
    ]
    TableCheck.objects.bulk_create(found)
    return len(found)


def paper(record: Record) -> str:
    """The document as it is handed to the printer."""
    template, words = words_of(record)
    return " ".join(
        render_to_string(
            template, {**document_context(content_of(record)), **words, "paper": "letter"}
        ).split()
    )


def draft(kind: str, author: User) -> Record:
    if kind == "procedure":
        return spec(author, procedure_test(author))
    return (
        procedure_test(author, state="draft")
        if kind == "procedure test"
        else welder_test(author, welder("KD", "Kees Dorrit"), state="draft")
    )


@pytest.mark.parametrize("kind", ["procedure", "procedure test", "welder test"])
def test_each_document_names_its_unconfirmed_numbers_until_the_shop_confirms_them(
    kind: str, author: User
) -> None:
    made = draft(kind, author)
    before = unconfirmed_in(content_of(made))
    assert before
    said = paper(made)
    assert SAID in said
    assert all(number in said for number in before)
    of_one_row = {row["clause"] for _, _, row in rows_of(shipped_files(EDITION))}
    gone = next(clause for each in before if (clause := each.split(" (")[0]) in of_one_row)
    assert confirm(lambda file, row: row["clause"] == gone)
    after = unconfirmed_in(content_of(made))
    assert not any(number.startswith(f"{gone} (") for number in after)
    assert set(after) < set(before)
    confirm()
    assert unconfirmed_in(content_of(made)) == []
    assert SAID not in paper(made)


def test_a_required_test_and_what_its_result_had_to_show_are_numbers_too(author: User) -> None:
    """Bends and tension specimens are asked and judged by rows of their own, each with its clause."""
    made = draft("procedure test", author)
    confirm()
    content = content_of(made)
    assert unconfirmed_in(content) == []
    line = next(each for each in content["outcome"]["lines"] if each["citation"])
    line["citation"]["provenance"] = "memory"
    asked = f"{line['citation']['clause']} ({line['asked'][:1].lower()}{line['asked'][1:]})"
    assert unconfirmed_in(content) == [asked]
    check = next(
        check
        for each in content["outcome"]["lines"]
        for result in each["results"]
        for check in result["checks"]
    )
    check["citation"].update(provenance="memory", clause="QW-0")
    assert [each.split(" (")[0] for each in unconfirmed_in(content)] == sorted(
        [line["citation"]["clause"], "QW-0"]
    )


@pytest.mark.parametrize(
    ("provenance", "named"), [("memory", ["9.3 (confirmation)"]), ("published", []), ("shop", [])]
)
def test_how_long_a_welders_test_holds_is_a_number_too(provenance: str, named: list[str]) -> None:
    """ISO 9606 states it in a clause of its own."""
    assert (
        unconfirmed_in(
            {"validity": {"citation": {"clause": "9.3", "provenance": provenance}, "way": None, "ways": []}}
        )
        == named
    )


def test_a_number_that_does_not_bind_is_not_counted(author: User) -> None:
    content = content_of(draft("procedure", author))
    free = {
        row["label"]
        for line in content["findings"]
        for row in line["rows"]
        if not row["binds"] and row["provenance"] == "memory"
    }
    bound = {
        row["label"]
        for line in content["findings"]
        for row in line["rows"]
        if row["binds"] and row["provenance"] == "memory"
    }
    assert free - bound
    for label in free - bound:
        assert not any(each.lower().endswith(f"({label.lower()})") for each in unconfirmed_in(content))


def front_of(packet: Packet, monkeypatch: pytest.MonkeyPatch) -> tuple[dict[str, Any], str]:
    """What the front of a packet is made of, and how it reads."""
    caught: list[dict[str, Any]] = []
    monkeypatch.setattr(front, "render", lambda template, context, *rest: caught.append(context))
    front.render_front(packet, contents_of(packet, DAY), [], [], {}, 1, "no entries")
    return caught[0], " ".join(
        render_to_string("documents/packet.html", {**caught[0], "paper": "letter"}).split()
    )


@pytest.mark.parametrize("confirmed", [False, True])
def test_the_front_of_a_packet_gathers_what_its_documents_rest_on(
    confirmed: bool, author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    if confirmed:
        confirm()
    who = welder("KD", "Kees Dorrit")
    test, other = procedure_test(author, state="draft"), welder_test(author, who, state="draft")
    made = spec(author, test)
    for record in (test, other, made):
        approve(record, author, approver)
    drawn = part(job(), spec_number="W-101")
    packet = Packet(
        number="P-1",
        title="Gangway",
        recipient="Port Ellery",
        job=drawn.job,
        code="AAAA-BBBB",
        made_by=author,
        choice={"procedures": [made.pk], "welders": [who.pk]},
    )
    context, said = front_of(packet, monkeypatch)
    if confirmed:
        assert context["unconfirmed"] == []
        assert "not confirmed against" not in said
        return
    ((documents, numbers),) = context["unconfirmed"]
    assert documents.startswith("ASME BPVC Section IX, 2023, W-101 rev 0, PT-014 rev 0, WT-021 rev 0")
    assert numbers == sorted(
        {
            *unconfirmed_in(content_of(made)),
            *unconfirmed_in(content_of(test)),
            *unconfirmed_in(content_of(other)),
        }
        | {each for each in numbers if "how long a qualification holds" in each}
    )
    assert f"{len(numbers)} numbers not confirmed against a copy of the code" in said
    assert (
        "The governing code, the contract and the shop's responsible welding person decide"
        in said.replace("&#x27;", "'")
    )


def test_what_was_approved_keeps_saying_what_was_unconfirmed_then(
    author: User, approver: User, shop: Shop
) -> None:
    made = procedure_test(author, state="draft")
    approve(made, author, approver)
    before = paper(made)
    assert SAID in before
    confirm()
    made.refresh_from_db()
    assert paper(made) == before


@pytest.mark.parametrize(("names", "said"), [(20, "20"), (21, "21"), (22, "20 and 2 more")])
def test_of_many_documents_some_are_named(names: int, said: str) -> None:
    listed = front._some([str(number) for number in range(1, names + 1)])
    assert listed.endswith(said)
    assert listed.startswith("1, 2, 3")
