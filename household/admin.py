"""Django's own table editor, off unless HOUSEHOLD_ADMIN=1: for an operator in trouble."""

from django.conf import settings

if settings.ADMIN:
    from django.contrib import admin

    from household import models

    for name in models.__all__:
        admin.site.register(getattr(models, name))
