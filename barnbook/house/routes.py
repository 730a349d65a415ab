"""The addresses at which a book is begun."""

from django.urls import path

from barnbook.house.begin import BeginView, ProgressView

routes = [
    path("api/begin", BeginView.as_view()),
    path("api/begin/progress", ProgressView.as_view()),
]
