from django.apps import AppConfig


class NurseryConfig(AppConfig):
    name = "nursery"
    label = "nursery"
    verbose_name = "Nursery"
