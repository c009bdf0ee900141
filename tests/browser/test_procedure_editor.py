"""The procedure editor in a real browser: the live check, what one types meanwhile, phone and keyboard."""

import re
from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, Route, expect

from qualification.models import Shop
from tests.browser.sections import go_to_section, in_section_of
from tests.browser.settling import settled
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import procedure_test, spec
from wps.models import Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.fixture
def draft(author: User, shop: Shop) -> Spec:
    test = procedure_test(author)
    procedure_test(author, "PT-015", line={"filler_classification": "ER4043"})
    return spec(author, test)


@pytest.fixture
def editor(draft: Spec, open_page: OpenPage, author: User) -> Page:
    return open_page(f"/procedures/{draft.pk}/edit/", as_person=author)


def checked(page: Page) -> None:
    """Wait until the answer to the last entry is on the page."""
    expect(page.locator("form[data-unchecked]")).to_have_count(0)


def verdict(page: Page) -> object:
    return expect(page.locator("#verdict"))


def test_the_verdict_follows_what_is_typed_and_goes_back_with_it(editor: Page) -> None:
    verdict(editor).to_contain_text("Covered by PT-014.")
    thick = editor.get_by_label("Thickness of side A")
    thick.fill("1/8-3/4")
    verdict(editor).to_contain_text("Not covered: thickness of the thinner side")
    expect(editor.locator("#note_id_joint-thickness_a")).to_have_text(
        "Read as 1/8 to 3/4 in (3.18 to 19.05 mm)"
    )
    thick.fill("1/8-1/2")
    verdict(editor).to_contain_text("Covered by PT-014.")


def test_a_finding_leads_to_its_field(editor: Page) -> None:
    editor.get_by_label("Filler classification").fill("ER4043")
    verdict(editor).to_contain_text("Not covered: F-Number.")
    editor.locator("#check").get_by_role("link", name="F-Number").click()
    expect(editor.get_by_label("Filler classification")).to_be_focused()


def test_what_is_typed_while_the_check_runs_stays(editor: Page) -> None:
    editor.route("**/check/", lambda route: (editor.wait_for_timeout(600), route.continue_()))
    field = editor.get_by_label("Cleaning before and between passes")
    field.fill("")
    with editor.expect_response("**/check/"):
        field.press_sequentially("Acetone, then a stainless brush, within four hours", delay=25)
    checked(editor)
    expect(field).to_have_value("Acetone, then a stainless brush, within four hours")
    expect(field).to_be_focused()


def test_an_answer_that_later_entries_have_overtaken_is_never_shown(editor: Page) -> None:
    held: list[Route] = []
    editor.route("**/check/", lambda route: route.continue_() if held else held.append(route))
    editor.evaluate(
        """() => {
            window.seen = [];
            new MutationObserver(() => window.seen.push(document.getElementById("verdict").textContent))
                .observe(document.getElementById("verdict"), {childList: true, subtree: true});
        }"""
    )
    thick = editor.get_by_label("Thickness of side A")
    with editor.expect_request("**/check/"):
        thick.fill("1/8-3/4")
    thick.fill("1/8-1/2")
    held[0].continue_()
    checked(editor)
    verdict(editor).to_contain_text("Covered by PT-014.")
    assert not any("Not covered" in text for text in editor.evaluate("window.seen"))


def test_an_entry_that_cannot_be_read_is_said_while_typing_and_kept_when_saving(editor: Page) -> None:
    field = editor.get_by_label("Current A", exact=True)
    field.fill("plenty")
    expect(editor.locator("#note_id_line-0-amps")).to_contain_text(
        "“plenty” could not be read as a number with a unit."
    )
    editor.get_by_role("button", name="Save draft").click()
    expect(editor.locator(".notes")).to_contain_text("One entry needs a look.")
    expect(editor.get_by_label("Current A", exact=True)).to_have_value("plenty")


def test_fields_that_lose_their_meaning_go_and_come_back(editor: Page) -> None:
    expect(editor.get_by_label("Fillet leg")).to_be_hidden()
    kind = editor.locator("#div_id_joint-weld_type")
    kind.get_by_label("Fillet").check()
    expect(editor.get_by_label("Fillet leg")).to_be_visible()
    editor.get_by_label("Fillet leg").fill("1/4")
    kind.get_by_label("Fillet").uncheck()
    checked(editor)
    expect(editor.get_by_label("Fillet leg")).to_have_value("1/4")


def test_choosing_another_test_changes_the_verdict(editor: Page) -> None:
    editor.get_by_role("checkbox", name=re.compile("PT-014")).uncheck()
    verdict(editor).to_contain_text("Not covered")
    editor.get_by_role("checkbox", name=re.compile("PT-015")).check()
    verdict(editor).to_contain_text("Not covered: F-Number.")


def test_a_process_is_added_and_everything_typed_is_still_there(editor: Page) -> None:
    editor.get_by_label("Title").fill("Half a thought")
    editor.get_by_role("button", name="GTAW").click()
    expect(editor.get_by_role("heading", name="Process 2: GTAW, tungsten arc")).to_be_visible()
    expect(editor.get_by_label("Title")).to_have_value("Half a thought")
    verdict(editor).to_contain_text("Not covered: process")


def test_the_enter_key_goes_on_and_removes_nothing(editor: Page, draft: Spec) -> None:
    title = editor.get_by_label("Title")
    title.fill("Entered")
    title.press("Enter")
    expect(title).not_to_be_focused()
    expect(title).to_have_value("Entered")
    editor.get_by_role("button", name="Save draft").click()
    expect(editor.locator(".notes")).to_contain_text("W-101 rev 0 is saved.")
    draft.refresh_from_db()
    assert (draft.title, len(draft.lines)) == ("Entered", 1)


def test_leaving_with_unsaved_entries_asks_first(editor: Page) -> None:
    asked = []
    editor.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    editor.get_by_label("Title").press_sequentially("x")
    with editor.expect_event("dialog"):
        editor.get_by_role("link", name="Today").first.click()
    assert asked == ["beforeunload"]
    expect(editor).to_have_url(re.compile("/edit/$"))
    editor.evaluate("document.querySelector('form[data-keep]').dispatchEvent(new Event('submit'))")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_editor_is_accessible(
    width: int, dark: bool, draft: Spec, open_page: OpenPage, author: User, assert_accessible: Check
) -> None:
    draft.lines = [{**draft.lines[0], "amps": "plenty", "filler_classification": "ER4043"}]
    draft.save()
    page = open_page(f"/procedures/{draft.pk}/edit/", width=width, as_person=author, dark=dark)
    in_section_of(page.get_by_label("Thickness of side A")).fill("1/8-3/4")
    verdict(page).to_contain_text("thickness of the thinner side")
    page.evaluate(
        "window.scrollTo(0, document.body.scrollHeight)"
    )  # where the bar at the foot covers no control
    assert_accessible(page)


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize("path", ["/procedures/", "/procedures/new/", "/procedures/{pk}/"])
def test_the_procedure_pages_are_accessible(
    path: str, width: int, draft: Spec, open_page: OpenPage, author: User, assert_accessible: Check
) -> None:
    page = open_page(path.format(pk=draft.pk), width=width, as_person=author)
    expect(page.locator("h1")).to_have_count(1)
    assert_accessible(page)


def test_the_verdict_stays_in_sight_on_a_phone_and_hides_no_focused_field(
    draft: Spec, open_page: OpenPage, author: User
) -> None:
    page = open_page(f"/procedures/{draft.pk}/edit/", width=PHONE, as_person=author)
    field = in_section_of(page.get_by_label("Gun liner"))
    field.focus()

    def is_clear() -> bool:
        bar, box = page.locator(".desk__bar").bounding_box(), field.bounding_box()
        return bar["y"] + bar["height"] <= 845 and box["y"] + box["height"] <= bar["y"] + 1

    assert settled(page, is_clear, bool)


def test_a_phone_shows_one_section_and_opens_the_one_that_lacks_something(
    draft: Spec, open_page: OpenPage, author: User
) -> None:
    draft.lines = [{**draft.lines[0], "shielding_gas": ""}]
    draft.save()
    page = open_page(f"/procedures/{draft.pk}/edit/", width=PHONE, as_person=author)
    where, shown = (
        page.locator("#part option:checked"),
        page.locator("#editor fieldset.group--entries:visible"),
    )
    gas = page.get_by_label("Shielding gas", exact=True)
    expect(gas).to_be_visible()
    expect(shown).to_have_count(1)
    expect(where).to_have_text(re.compile(r"^\d+ of \d+: Gas, process 1, 1 to state$"))
    gas.fill("100 Ar")
    expect(where).to_have_text(re.compile(r"^\d+ of \d+: Gas, process 1$"))

    # What the other sections hold is sent and checked too, and a finding leads into the section it is about.
    page.get_by_role("button", name="Back").click()
    expect(page.locator(":focus")).to_contain_text("Filler metal")
    page.get_by_label("Filler classification").fill("ER4043")
    verdict(page).to_contain_text("Not covered: F-Number.")
    go_to_section(page, "Heat")
    page.get_by_role("link", name="Why").click()
    page.locator("#check").get_by_role("link", name="F-Number").click()
    expect(page.get_by_label("Filler classification")).to_be_focused()
    page.get_by_label("Go to a field").fill("Gun liner")
    page.get_by_label("Go to a field").press("Enter")
    expect(page.get_by_label("Gun liner")).to_be_focused()
    page.get_by_role("button", name="Save draft").click()
    expect(page.locator(".notes")).to_be_visible()
    draft.refresh_from_db()
    assert (draft.lines[0]["shielding_gas"], draft.lines[0]["filler_classification"]) == ("100 Ar", "ER4043")


def test_folds_leave_open_what_lacks_something(draft: Spec, open_page: OpenPage, author: User) -> None:
    draft.lines = [{**draft.lines[0], "shielding_gas": ""}]
    draft.save()
    page = open_page(f"/procedures/{draft.pk}/edit/", as_person=author)
    page.get_by_role("button", name="Fold what is complete").click()
    expect(page.get_by_label("Shielding gas", exact=True)).to_be_visible()
    thickness = page.get_by_label("Thickness of side A")
    expect(thickness).to_be_hidden()
    page.get_by_role("button", name="Base metals").press("Enter")
    expect(thickness).to_be_visible()
