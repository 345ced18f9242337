"""How passwords are kept: argon2id, sized for a small board in a cupboard."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class HomeArgon2(Argon2PasswordHasher):
    """Django's default asks for 100 MiB and 8 threads a sign-in, which a small board lacks.

    19 MiB, two passes, one lane is the lowest setting that the OWASP Password Storage Cheat
    Sheet lists for argon2id (from memory).
    """

    time_cost = 2
    memory_cost = 19 * 1024
    parallelism = 1
