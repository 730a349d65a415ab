from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "barnbook.work"
    label = "work"
