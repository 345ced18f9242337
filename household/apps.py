from django.apps import AppConfig


class HouseholdConfig(AppConfig):
    name = "household"
    verbose_name = "Evenhouse"
