from django.apps import AppConfig


class HouseConfig(AppConfig):
    name = "barnbook.house"
    label = "house"
