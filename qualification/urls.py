"""The addresses of the evidence pages, the sign-in pages and the shop's settings."""

from django.urls import URLPattern, URLResolver, include, path

from qualification.views import code_tables, continuity_log, people, procedure_tests, shop, sign_in, welder_tests, welders

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", sign_in.SignIn.as_view(), name="sign_in"),
    path("sign-out/", sign_in.SignOut.as_view(), name="sign_out"),
    path("password/", sign_in.ChangePassword.as_view(), name="change_password"),
    path("shop/", shop.settings, name="shop"),
    path("shop/letterhead/", shop.letterhead, name="shop_letterhead"),
    path("shop/people/", people.people, name="people"),
    path("shop/people/new/", people.add_person, name="person_add"),
    path("shop/people/<int:pk>/", people.edit_person, name="person_edit"),
    path("procedure-tests/", procedure_tests.procedure_test_list, name="procedure_test_list"),
    path("procedure-tests/new/", procedure_tests.procedure_test_add, name="procedure_test_add"),
    path("procedure-tests/<int:pk>/", procedure_tests.procedure_test, name="procedure_test"),
    path("procedure-tests/<int:pk>/edit/", procedure_tests.procedure_test_edit, name="procedure_test_edit"),
    path("procedure-tests/<int:pk>/check/", procedure_tests.procedure_test_check, name="procedure_test_check"),
    path("procedure-tests/<int:pk>/results/", procedure_tests.procedure_test_results, name="procedure_test_results"),
    path("procedure-tests/<int:pk>/step/", procedure_tests.procedure_test_step, name="procedure_test_step"),
    path("procedure-tests/<int:pk>/revise/", procedure_tests.procedure_test_revise, name="procedure_test_revise"),
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
    path("welders/tests/<int:pk>/", welder_tests.welder_test, name="welder_test"),
    path("welders/tests/<int:pk>/edit/", welder_tests.welder_test_edit, name="welder_test_edit"),
    path("welders/tests/<int:pk>/check/", welder_tests.welder_test_check, name="welder_test_check"),
    path("welders/tests/<int:pk>/results/", welder_tests.welder_test_results, name="welder_test_results"),
    path("welders/tests/<int:pk>/step/", welder_tests.welder_test_step, name="welder_test_step"),
    path("welders/tests/<int:pk>/revise/", welder_tests.welder_test_revise, name="welder_test_revise"),
    path("welders/tests/<int:pk>/question/", welder_tests.welder_test_question, name="welder_test_question"),
    path("trials/", include("qualification.trial_urls")),
    path("code-tables/", code_tables.code_tables, name="code_tables"),
]
