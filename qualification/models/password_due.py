"""People who still have a password that somebody else gave them."""

from django.contrib.auth.models import User
from django.db import models


class PasswordDue(models.Model):
    """The person chooses an own password at the next sign-in; the row goes when that is done."""

    person = models.OneToOneField(User, models.CASCADE, primary_key=True, related_name="password_due")

    def __str__(self) -> str:
        return str(self.person)
