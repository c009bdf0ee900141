"""Tags stay true to the page when spans are folded away and when files are put behind one another."""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Pdf
from weasyprint import HTML

from wps.packets.readable import Original, Readable
from wps.pdf.pdf_file import PdfFile
from wps.pdf.tags import fold_spans

BODY = """<h1>Plate <em>6061</em></h1><p>Along <b>the <i>seam</i></b> and
<a href="https://example.org/a(b)">a page</a>.</p>
<table><thead><tr><th>Amps</th><th>Volts</th></tr></thead><tbody>{rows}</tbody></table><p>{long}</p>"""


@lru_cache
def tagged(title: str = "Paper") -> bytes:
    """Two pages with a heading, inline elements, a table that runs over and a paragraph that does."""
    rows = "".join(f"<tr><td>{n} A</td><td><span>{n}</span> V</td></tr>" for n in range(3))
    html = (
        '<html lang="en"><style>@page { size: 80mm 60mm; margin: 8mm'
        f" }}</style><title>{title}</title>{BODY.format(rows=rows, long='weld ' * 25)}"
    )
    return HTML(string=html).write_pdf(pdf_variant="pdf/a-3u", pdf_tags=True)


def folded(pdf: bytes) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        fold_spans(document)
        document.save(out)
    return out.getvalue()


def words_by_tags(pdf: bytes, folder: Path) -> list[str]:
    """The text in the order of the tags, as poppler reads it."""
    file = folder / "tagged.pdf"
    file.write_bytes(pdf)
    printed = subprocess.run(
        ["pdfinfo", "-struct-text", str(file)], capture_output=True, text=True, check=True
    ).stdout
    return [
        line.strip() for line in printed.splitlines() if line.strip().startswith('"') and line.strip() != '""'
    ]


def elements(pdf: Pdf) -> list[Any]:
    return [
        each for each in pdf.objects if isinstance(each, Dictionary) and each.get("/Type") == Name.StructElem
    ]


def assert_tags_hold(pdf: Pdf) -> None:
    """Each piece of a page leads to the element that holds it, and each element to what holds it."""
    nums = pdf.Root.StructTreeRoot.ParentTree.Nums
    tree = {int(nums[index]): nums[index + 1] for index in range(0, len(nums), 2)}
    for page in pdf.pages:
        entry = tree[int(page.obj.StructParents)]
        for number, element in enumerate(entry):
            assert number in [kid for kid in _kids(element) if isinstance(kid, int)]
            assert element.Pg.objgen == page.obj.objgen
    for element in elements(pdf):
        for kid in _kids(element):
            if isinstance(kid, Dictionary) and kid.get("/Type") == Name.StructElem:
                assert kid.P.objgen == element.objgen


def _kids(element: Any) -> list[Any]:
    kids = element.get("/K", [])
    return list(kids) if isinstance(kids, Array) else [kids]


def test_folding_leaves_every_word_in_its_place_with_fewer_elements(tmp_path: Path) -> None:
    before, after = tagged(), folded(tagged())
    assert words_by_tags(before, tmp_path) == words_by_tags(after, tmp_path)
    with pikepdf.open(io.BytesIO(before)) as was, pikepdf.open(io.BytesIO(after)) as now:
        assert_tags_hold(now)
        assert len(elements(now)) < 0.7 * len(elements(was))
        assert {str(each.S) for each in elements(now)} >= {"/H1", "/P", "/Table", "/TH", "/TD", "/Link"}


def test_a_document_without_tags_is_left_alone() -> None:
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        fold_spans(pdf)
        assert len(pdf.pages) == 1


def packed(front: bytes, *files: bytes) -> Pdf:
    """The front with these files behind it, as a packet brings them."""
    out = io.BytesIO()
    total = sum(len(pikepdf.open(io.BytesIO(each)).pages) for each in (front, *files))
    readable = Readable(out, front, "Packet P-1", total)
    section = readable.section("Papers")
    for number, each in enumerate(files):
        before = out.tell()
        readable.add(each, f"Paper {number}", section)
        readable.attach(each, Original(f"{number}.pdf", "application/pdf", "A paper", "Supplement"))
        assert out.tell() - before > 0.5 * len(each), "what is added goes to the file at once"
    assert readable.finish() == total
    return pikepdf.open(io.BytesIO(out.getvalue()))


@pytest.fixture(scope="module")
def front() -> bytes:
    return tagged("Front")


def test_tags_of_several_files_hold_in_one_and_stay_apart(front: bytes, tmp_path: Path) -> None:
    paper = tagged()
    with packed(front, paper, paper) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert_tags_hold(pdf)
        names = [str(each.ID) for each in elements(pdf) if "/ID" in each]
        assert names
        assert len(set(names)) == len(names)
        named = {
            str(name)
            for each in elements(pdf)
            if isinstance(each.get("/A"), Dictionary)
            for name in each.A.get("/Headers", [])
        }
        assert named <= set(names)
        assert [str(kid.S) for kid in pdf.Root.StructTreeRoot.K[0].K][-2:] == ["/Part", "/Part"]
        assert pdf.attachments["1.pdf"].get_file().read_bytes() == paper
        assert {str(each.A.URI) for page in pdf.pages for each in page.obj.get("/Annots", [])} == {
            "https://example.org/a(b)"
        }
        out = io.BytesIO()
        pdf.save(out)
    assert words_by_tags(out.getvalue(), tmp_path) == words_by_tags(front, tmp_path) * 3


def test_what_a_page_has_from_above_and_what_looks_like_a_reference(front: bytes) -> None:
    """A scan by another program: size and turn stand on the node above, its form has tags the file does
    not."""
    made = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        page = pdf.pages[0].obj
        form = pdf.make_stream(
            b"0 0 10 10 re f",
            Type=Name.XObject,
            Subtype=Name.Form,
            BBox=Array([0, 0, 10, 10]),
            StructParents=3,
        )
        page.Contents = pdf.make_stream(b"/F Do")
        page.Note = pikepdf.String("see 12 0 R (and \\ 3 0 R)")
        page.Count = pdf.make_indirect(Array([1]))
        above = page.Parent
        above.MediaBox, above.Rotate = Array([0, 0, 300, 200]), 90
        above.Resources = Dictionary(XObject=Dictionary(F=form))
        del page["/MediaBox"]
        del page["/Resources"]
        pdf.save(made, compress_streams=False)
    with packed(front, made.getvalue()) as pdf:
        page = pdf.pages[-1]
        assert [float(side) for side in page.mediabox] == [0, 0, 300, 200]
        assert page.obj.Rotate == 90
        assert str(page.obj.Note) == "see 12 0 R (and \\ 3 0 R)"
        form = page.obj.Resources.XObject.F
        assert form.read_bytes() == b"0 0 10 10 re f"
        assert "/StructParents" not in form
        assert "/StructParents" not in page.obj
        text = b"".join(each.read_bytes() for each in page.obj.Contents)
        assert f"page {len(pdf.pages)} of {len(pdf.pages)}".encode() in text


def test_roles_that_another_program_named_are_kept(front: bytes) -> None:
    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(tagged())) as pdf:
        pdf.Root.StructTreeRoot.RoleMap = Dictionary(Absatz=Name.P)
        pdf.save(made)
    with packed(front, made.getvalue()) as pdf:
        assert pdf.Root.StructTreeRoot.RoleMap.Absatz == Name.P


def odd(change: Callable[[Pdf], None]) -> bytes:
    """A page as some other program might leave it."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        change(pdf)
        pdf.save(out)
    return out.getvalue()


def _tags_without_elements(pdf: Pdf) -> None:
    pdf.Root.StructTreeRoot = Dictionary(Type=Name.StructTreeRoot)


def _tags_that_lead_nowhere(pdf: Pdf) -> None:
    pdf.Root.StructTreeRoot = Dictionary(
        Type=Name.StructTreeRoot, K=Array([3]), ParentTree=Dictionary(Nums=Array([0, None]))
    )


def _element_in_the_root(pdf: Pdf) -> None:
    pdf.Root.StructTreeRoot = Dictionary(K=Dictionary(Type=Name.StructElem, S=Name.Document))


def _page_of_indirect_parts(pdf: Pdf) -> None:
    pdf.pages[0].obj.MediaBox = pdf.make_indirect(Array([0, 0, pdf.make_indirect(300), 200]))
    pdf.pages[0].obj.Contents = Array([pdf.make_stream(b"q"), pdf.make_stream(b"Q")])


def _field_without_appearance(pdf: Pdf) -> None:
    widget = pdf.make_indirect(
        Dictionary(Type=Name.Annot, Subtype=Name.Widget, FT=Name.Tx, T="a", V="b", Rect=Array([0, 0, 9, 9]))
    )
    pdf.pages[0].obj.Annots = Array([widget])
    pdf.Root.AcroForm = Dictionary(Fields=Array([widget]))


@pytest.mark.parametrize(
    "change",
    [
        _tags_without_elements,
        _tags_that_lead_nowhere,
        _element_in_the_root,
        _page_of_indirect_parts,
        _field_without_appearance,
    ],
)
def test_what_other_programs_leave_in_a_pdf_is_copied(front: bytes, change: Callable[[Pdf], None]) -> None:
    paper = odd(change)
    with packed(front, paper, paper) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert b"Packet P-1" in b"".join(each.read_bytes() for each in pdf.pages[-1].obj.Contents)


def test_an_object_that_was_promised_and_not_written_is_an_error() -> None:
    file = PdfFile(io.BytesIO())
    root = file.add(b"<< /Type /Catalog >>")
    number = file.reserve()
    with pytest.raises(ValueError, match=f"Object {number} was reserved"):
        file.finish(root, None, bytes(16))
