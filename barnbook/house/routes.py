"""The addresses at which a book is begun, and the house, its people and its phones are looked after."""

from django.urls import path

from barnbook.house.begin import BeginView, ProgressView
from barnbook.house.care_views import BackUpsView, HealthView
from barnbook.house.people import views as people
from barnbook.house.reaching import PhoneAddressView

routes = [
    path("api/begin", BeginView.as_view()),
    path("api/begin/progress", ProgressView.as_view()),
    path("api/health", HealthView.as_view()),
    path("api/back-ups", BackUpsView.as_view()),
    path("api/people", people.PeopleView.as_view()),
    path("api/people/<uuid:person>", people.PersonView.as_view()),
    path("api/people/<uuid:person>/code", people.CodeView.as_view()),
    path("api/phones", people.PhonesView.as_view()),
    path("api/phones/<uuid:phone>/unpair", people.UnpairView.as_view()),
    path("api/phone-address", PhoneAddressView.as_view()),
    path("api/join", people.JoinView.as_view()),
]
