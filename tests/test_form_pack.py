"""The form pack: label, hint, error and input belong together, for people and for screen readers."""

from crispy_forms.bootstrap import AppendedText
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from crispy_forms.utils import render_crispy_form
from django import forms
from django.template.loader import render_to_string
from pytest_django.asserts import assertInHTML

from tests.folded_pages import folded


class Coupon(forms.Form):
    """A made-up form with each sort of field."""

    thickness = forms.DecimalField(
        label="Thickness",
        help_text="Less than < 10 mm",
        error_messages={"invalid": "Thickness is no number."},
    )
    process = forms.ChoiceField(
        label="Process",
        choices=[("a", "Manual"), ("b", "Machine")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose a process."},
    )
    backed = forms.BooleanField(label="Backed", required=False)
    note = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.show_needed = True
        self.helper.layout = Layout(
            Fieldset("Coupon", Row(AppendedText("thickness", "mm"), "backed"), "process", "note")
        )
        self.helper.add_input(Submit("save", "Save"))


def test_a_field_in_order_has_label_hint_and_unit() -> None:
    html = folded(render_crispy_form(Coupon()))
    assertInHTML(
        '<label for="id_thickness">Thickness <span class="field__needed">needed</span></label>', html
    )
    assert "Less than &lt; 10 mm" in html
    assert 'aria-describedby="id_thickness_helptext"' in html
    assertInHTML('<span class="field__unit">mm</span>', html)
    assertInHTML("<legend>Coupon</legend>", html)
    assert "novalidate" in html
    assert '<button type="submit" name="save" value="Save" class="button' in html
    assert "There is a problem" not in html


def test_an_error_stands_at_the_input_and_is_tied_to_it() -> None:
    form = Coupon({"thickness": "thick", "backed": "on"})
    html = render_crispy_form(form)
    assert 'value="thick"' in html
    assert 'aria-invalid="true"' in html
    assert 'aria-describedby="id_thickness_helptext id_thickness_error"' in html
    assertInHTML('<p><span class="visually-hidden">Error: </span>Thickness is no number.</p>', html)
    assert 'aria-describedby="id_process_error"' in html.split('id="div_id_process"')[1].split(">")[0]


def test_the_summary_says_the_same_words_and_leads_to_inputs_that_exist() -> None:
    form = Coupon({"thickness": "thick"})
    summary = render_to_string("_error_summary.html", {"form": form})
    assertInHTML('<a href="#id_thickness">Thickness is no number.</a>', summary)
    assertInHTML('<a href="#id_process_0">Choose a process.</a>', summary)
    page = render_crispy_form(form)
    assert 'id="id_thickness"' in page
    assert 'id="id_process_0"' in page
    assert render_to_string("_error_summary.html", {"form": Coupon()}).strip() == ""


def test_a_formset_is_a_table_whose_inputs_keep_their_labels() -> None:
    rows = forms.formset_factory(Coupon, extra=2)(
        {"form-TOTAL_FORMS": "2", "form-INITIAL_FORMS": "0", "form-0-thickness": "thick"}
    )
    helper = FormHelper()
    helper.template = "shop/table_inline_formset.html"
    helper.table_label = "Coupons"
    html = render_crispy_form(rows, helper)
    assert 'aria-label="Coupons"' in html
    assertInHTML('<th scope="col">Thickness</th>', html)
    assertInHTML('<label for="id_form-1-thickness" class="visually-hidden">Thickness</label>', html)
    assert 'name="form-0-note"' in html
    summary = render_to_string("_error_summary.html", {"form": Coupon({}), "formsets": [rows]})
    assertInHTML('<a href="#id_form-0-thickness">Thickness is no number.</a>', summary)
