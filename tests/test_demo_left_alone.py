"""The demo shop is for an empty database; any other is left as it is."""

import io

from django.contrib.auth.models import User
from django.core.management import call_command

from qualification.models import Shop


def test_a_shop_with_people_of_its_own_is_left_alone(author: User) -> None:
    author.username = "someone"
    author.save()
    printed = io.StringIO()
    call_command("demo", stdout=printed)
    assert printed.getvalue() == ""
    assert not Shop.objects.exists()
