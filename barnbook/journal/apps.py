from django.apps import AppConfig


class JournalConfig(AppConfig):
    name = "barnbook.journal"
    label = "journal"
