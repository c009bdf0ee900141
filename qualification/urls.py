"""The addresses of the evidence pages, the sign-in pages and the shop's settings."""

from django.urls import URLPattern, URLResolver, include, path

from qualification.views import (
    code_tables,
    confirmations,
    continuity_log,
    coupon_pages,
    every_row,
    first_person,
    help,
    look,
    other_editions,
    pass_log,
    passkeys,
    people,
    personal_data,
    procedure_tests,
    process_defaults,
    quiet_checks,
    second_step,
    shop,
    sign_in,
    steel_arithmetic,
    validity,
    welder_tests,
    welders,
)

TESTS = {
    "": coupon_pages.record,
    "edit": coupon_pages.edit,
    "check": coupon_pages.check,
    "results": coupon_pages.results,
    "step": coupon_pages.step,
    "revise": coupon_pages.revise,
    "editions": other_editions.other_editions,
    "rows": every_row.coupon_rows,
    "move": other_editions.move,
    "also": other_editions.also,
}
"""The pages of one test, of either kind, by the end of their address."""


def of_coupon(at: str, pages: coupon_pages.Pages) -> list[URLPattern]:
    """The addresses that procedure tests and welder tests have alike."""
    return [
        path(
            f"{at}<int:pk>/{end}/" if end else f"{at}<int:pk>/",
            view,
            {"pages": pages},
            name=f"{pages.kind}_{end}" if end else pages.kind,
        )
        for end, view in TESTS.items()
    ]


urlpatterns: list[URLPattern | URLResolver] = [
    path("first/<str:code>/", first_person.first_person, name="first_person"),
    path("sign-in/", sign_in.SignIn.as_view(), name="sign_in"),
    path("session/", sign_in.session, name="session"),
    path("sign-out/", sign_in.SignOut.as_view(), name="sign_out"),
    path("password/", sign_in.ChangePassword.as_view(), name="change_password"),
    path("password/second-step/", second_step.second_step, name="second_step"),
    path("password/second-step/picture/", second_step.second_step_picture, name="second_step_picture"),
    path("password/passkeys/", passkeys.passkey_make, name="passkey_make"),
    path("password/passkeys/asked/", passkeys.passkey_asked, name="passkey_asked"),
    path("password/passkeys/<int:pk>/remove/", passkeys.passkey_remove, name="passkey_remove"),
    path("sign-in/passkey/", passkeys.passkey_sign_in, name="passkey_sign_in"),
    path("shop/", shop.settings, name="shop"),
    path("here/", shop.here, name="here"),
    path("shop/letterhead/", shop.letterhead, name="shop_letterhead"),
    path("shop/people/", people.people, name="people"),
    path("shop/people/new/", people.add_person, name="person_add"),
    path("shop/people/<int:pk>/", people.edit_person, name="person_edit"),
    path("shop/personal-data/", personal_data.personal_data, name="personal_data"),
    path("welders/<int:pk>/personal-data/", personal_data.personal_data_of, name="personal_data_of"),
    path("welders/<int:pk>/personal-data.json", personal_data.personal_data_file, name="personal_data_file"),
    path(
        "welders/<int:pk>/personal-data/remove/",
        personal_data.personal_data_remove,
        name="personal_data_remove",
    ),
    path("shop/defaults/", process_defaults.process_defaults, name="process_defaults"),
    path("shop/defaults/<slug:process>/", process_defaults.process_default_edit, name="process_default_edit"),
    path("common-sense/", quiet_checks.quiet_checks, name="quiet_checks"),
    path("common-sense/<slug:key>/", quiet_checks.quiet_check_add, name="quiet_check_add"),
    path("common-sense/back/<int:pk>/", quiet_checks.quiet_check_take_back, name="quiet_check_take_back"),
    path("arithmetic/steel/", steel_arithmetic.steel_arithmetic, name="steel_arithmetic"),
    path("procedure-tests/", procedure_tests.procedure_test_list, name="procedure_test_list"),
    path("procedure-tests/new/", procedure_tests.procedure_test_add, name="procedure_test_add"),
    *of_coupon("procedure-tests/", procedure_tests.PAGES),
    path("procedure-tests/<int:pk>/passes/", pass_log.procedure_test_passes, name="procedure_test_passes"),
    path(
        "procedure-tests/<int:pk>/as-welder-test/",
        procedure_tests.procedure_test_as_welder_test,
        name="procedure_test_as_welder_test",
    ),
    path("welders/", welders.welder_list, name="welder_list"),
    path("welders/new/", welders.welder_add, name="welder_add"),
    path("welders/uses/", continuity_log.month, name="month"),
    path("welders/uses/<int:pk>/strike/", continuity_log.use_strike, name="use_strike"),
    path("welders/<int:pk>/", welders.welder, name="welder"),
    path("welders/<int:pk>/edit/", welders.welder_edit, name="welder_edit"),
    path("welders/<int:pk>/active/", welders.welder_active, name="welder_active"),
    path("welders/<int:pk>/uses/new/", continuity_log.use_add, name="use_add"),
    path("welders/tests/", welder_tests.welder_test_list, name="welder_test_list"),
    path("welders/tests/new/", welder_tests.welder_test_add, name="welder_test_add"),
    *of_coupon("welders/tests/", welder_tests.PAGES),
    path("welders/tests/<int:pk>/question/", welder_tests.welder_test_question, name="welder_test_question"),
    path("welders/tests/<int:pk>/way/", validity.act_add, {"what": "way"}, name="validity_way"),
    path("welders/tests/<int:pk>/confirm/", validity.act_add, {"what": "confirm"}, name="validity_confirm"),
    path("welders/tests/<int:pk>/prolong/", validity.act_add, {"what": "prolong"}, name="validity_prolong"),
    path(
        "welders/tests/<int:pk>/conditions/",
        validity.act_add,
        {"what": "conditions"},
        name="validity_conditions",
    ),
    path("welders/confirmations/", confirmations.confirmations, name="confirmations"),
    path("welders/tests/acts/<int:pk>/strike/", validity.act_strike, name="validity_strike"),
    path("trials/", include("qualification.trial_urls")),
    path("look/", look.look, name="look"),
    path("help/", help.help_list, name="help"),
    path("help/examples/<str:key>/", help.examples, name="examples"),
    path("help/glossary/", help.glossary, name="glossary"),
    path("help/trade-terms/", help.trade_terms_page, name="trade_terms"),
    path("help/<slug:key>/", help.help_subject, name="help_subject"),
    path("own-editions/", include("qualification.own_edition_urls")),
    path("code-tables/", code_tables.code_tables, name="code_tables"),
]
