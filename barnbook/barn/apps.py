from django.apps import AppConfig


class BarnConfig(AppConfig):
    name = "barnbook.barn"
    label = "barn"
    default_auto_field = "django.db.models.BigAutoField"
