"""The shop's password hash with the least of work: what it costs to guess is not what the tests are about."""

from __future__ import annotations

from django.contrib.auth.hashers import Argon2PasswordHasher


class QuickArgon2(Argon2PasswordHasher):
    time_cost = 1
    memory_cost = 64
    parallelism = 1
