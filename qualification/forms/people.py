"""The form by which a shop administrator adds people and grants roles."""

from typing import Any

from axes.utils import reset as forget_failures
from crispy_forms.layout import Fieldset, Layout, Row
from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from qualification.codes.editions import PROCEDURE, editions_with
from qualification.forms.fields import choice_field, edition_field, layout_of, ticks_field
from qualification.models import PasswordDue
from qualification.models.shop import UnitOrder
from qualification.records.audit_people import second_step_changed
from qualification.roles import ALL_ROLES, WHAT_A_ROLE_DOES, grant_roles, roles_granted
from qualification.second_step import has_one, take_off

ROLE_CHOICES = [(role, f"{role.capitalize()}: may {WHAT_A_ROLE_DOES[role]}") for role in ALL_ROLES]


class PersonForm(forms.ModelForm):
    """One person's sign-in, name and roles. A password set here for somebody else is changed by its owner at
    the first sign-in."""

    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        validators=[User.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
        help_text="Letters, digits and . + - _ @, without spaces.",
        error_messages={
            "required": "Enter a sign-in name.",
            "invalid": "Sign-in name has a character that cannot be used. "
            "Use letters, digits and . + - _ @ only.",
        },
    )
    first_name = forms.CharField(
        label="First name", max_length=150, error_messages={"required": "Enter the first name."}
    )
    last_name = forms.CharField(
        label="Last name", max_length=150, error_messages={"required": "Enter the last name."}
    )
    roles = ticks_field(
        "Roles",
        ROLE_CHOICES,
        help_text="Authors and approvers can also read. Without a role a person sees nothing.",
    )
    is_superuser = forms.BooleanField(
        label="Shop administrator",
        required=False,
        help_text="Adds people, grants roles, and may do all three.",
    )
    is_active = forms.BooleanField(
        label="May sign in",
        required=False,
        initial=True,
        help_text="Switch off when someone leaves. The name stays on the records.",
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=(
            "At least 8 characters, not only digits, not a common password and not like the name. The person"
            " chooses an own one at the first sign-in."
        ),
        error_messages={"required": "Enter a first password for this person."},
    )

    take_off_second_step = forms.BooleanField(
        label="Take off the second step of signing in",
        required=False,
        help_text="For a lost phone. The person then signs in by password alone, or sets up another.",
    )

    class Meta:
        model = User
        fields = ["username", "first_name", "last_name", "is_superuser", "is_active"]

    def __init__(self, *args: Any, acting: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.acting = acting
        lost = ["take_off_second_step"]
        if not self.instance.pk or not has_one(self.instance):
            del self.fields["take_off_second_step"]
            lost = []
        if self.instance.pk:
            self.fields["roles"].initial = sorted(roles_granted(self.instance))
            self.fields["password"].required = False
            self.fields["password"].label = "New password"
            self.fields["password"].help_text = "Leave empty to keep the present one."
            if self.instance.pk != acting.pk:
                self.fields[
                    "password"
                ].help_text += " The person then chooses an own one at the next sign-in."
        self.helper = layout_of(
            Fieldset("Person", Row("first_name", "last_name"), "username", "password", *lost),
            Fieldset("What this person may do", "roles", "is_superuser", "is_active"),
        )

    def clean_username(self) -> str:
        name = self.cleaned_data["username"]
        if User.objects.filter(username__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"Sign-in name {name} is taken. Choose another.", code="taken")
        return name

    def clean(self) -> dict[str, Any]:
        """Check the password against the name, and keep administrators from locking themselves out."""
        cleaned = super().clean()
        if self.instance.pk == self.acting.pk:
            for name in ("is_superuser", "is_active"):
                if not cleaned.get(name):
                    label = self.fields[name].label
                    self.add_error(
                        name,
                        f"{label} is switched off for yourself. Ask another shop administrator to do it.",
                    )
        return cleaned

    def _post_clean(self) -> None:
        super()._post_clean()
        password = self.cleaned_data.get("password")
        if password:
            try:
                validate_password(password, self.instance)
            except ValidationError as error:
                self.add_error("password", error)

    def save(self, commit: bool = True) -> User:
        """Save the person, the password when one was entered, and the roles. A new password lifts the lock
        that failed sign-ins put on the name."""
        if self.cleaned_data.get("password"):
            self.instance.set_password(self.cleaned_data["password"])
            forget_failures(username=self.instance.username)
        person = super().save(commit)
        if self.cleaned_data.get("take_off_second_step") and take_off(person):
            second_step_changed(person, self.acting, on=False)
        grant_roles(person, self.cleaned_data["roles"])
        if self.cleaned_data.get("password") and person.pk != self.acting.pk:
            PasswordDue.objects.get_or_create(person=person)
        return person


class FirstPersonForm(PersonForm):
    """The shop's name and its first administrator, who may also read, write and approve."""

    shop_name = forms.CharField(
        label="Shop name",
        max_length=120,
        help_text="As printed at the head of each document.",
        error_messages={"required": "Enter the shop's name."},
    )

    code_edition = edition_field(
        "Code you qualify procedures to",
        help_text="New records start under it. The Shop page changes it and adds others.",
    )
    unit_order = choice_field(
        "Units",
        UnitOrder.choices,
        "Choose which units stand first.",
        initial=UnitOrder.INCH_FIRST,
        widget=forms.RadioSelect,
    )
    works_alone = forms.BooleanField(
        label="I work alone: I approve my own records",
        required=False,
        help_text=(
            "Each approval says who wrote and who approved, on paper too. Leave it unchecked where a second"
            " person approves. The Shop page changes it."
        ),
    )
    stamp = forms.CharField(
        label="Your welder's stamp",
        max_length=20,
        required=False,
        help_text="If you weld yourself: the mark beside your welds. It makes you the first welder.",
        error_messages={"max_length": "Your welder's stamp has more than 20 characters. Shorten it."},
    )

    class Meta(PersonForm.Meta):
        fields = ["username", "first_name", "last_name"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, acting=User(is_superuser=True), instance=User(is_superuser=True), **kwargs)
        for name in ("roles", "is_superuser", "is_active"):
            del self.fields[name]
        self.fields["code_edition"].choices = [("", "Choose later"), *editions_with(PROCEDURE)]
        self.fields["password"].error_messages["required"] = "Enter a password."
        self.fields[
            "password"
        ].help_text = "At least 8 characters, not only digits, not a common password and not like the name."
        self.helper.layout = Layout(
            Fieldset("Shop", "shop_name", "code_edition", "unit_order"),
            Fieldset("You", Row("first_name", "last_name"), "username", "password", "works_alone", "stamp"),
        )

    def clean(self) -> dict[str, Any]:
        """There is nobody yet who could lock themselves out, which is what the longer form guards against."""
        return forms.ModelForm.clean(self) or self.cleaned_data

    def save(self, commit: bool = True) -> User:
        """Save the administrator, who needs no role: an administrator may do all."""
        self.instance.set_password(self.cleaned_data["password"])
        return forms.ModelForm.save(self, commit)
