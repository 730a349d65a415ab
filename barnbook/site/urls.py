"""Gathers each part's routes, and nothing else."""

from django.urls import path, re_path

from barnbook.api.app_page import app_page
from barnbook.api.routes import routes as api_routes
from barnbook.house.routes import routes as house_routes

urlpatterns = [
    *api_routes,
    *house_routes,
    path("", app_page),
    # Every screen has an address of its own; the app finds it. Not for /api, which answers for itself.
    re_path(r"^(?!api/|assets/|static/).*$", app_page),
]
handler404 = "barnbook.api.problems.nothing_here"
