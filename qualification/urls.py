"""The addresses of the evidence pages, the sign-in pages and the shop's settings."""

from django.urls import URLPattern, URLResolver, path

from qualification.views import people, shop, sign_in

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", sign_in.SignIn.as_view(), name="sign_in"),
    path("sign-out/", sign_in.SignOut.as_view(), name="sign_out"),
    path("password/", sign_in.ChangePassword.as_view(), name="change_password"),
    path("shop/", shop.settings, name="shop"),
    path("shop/letterhead/", shop.letterhead, name="shop_letterhead"),
    path("shop/people/", people.people, name="people"),
    path("shop/people/new/", people.add_person, name="person_add"),
    path("shop/people/<int:pk>/", people.edit_person, name="person_edit"),
]
