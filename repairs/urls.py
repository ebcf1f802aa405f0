"""Addresses of all rooms."""

from django.urls import include, path

urlpatterns = [
    path("", include("repairs.people.urls")),
    path("", include("repairs.press.urls")),
    path("", include("repairs.instruments.urls")),
    path("wood/", include("repairs.wood.urls")),
    path("", include("repairs.cases.urls")),
    path("cases/<str:number>/photos/", include("repairs.photos.urls")),
    path("cases/<str:number>/", include("repairs.findings.urls")),
    path("", include("repairs.readings.urls")),
    path("", include("repairs.treatment.urls")),
    path("", include("repairs.estimates.urls")),
    path("", include("repairs.invoices.urls")),
    path("", include("repairs.papers.urls")),
    path("", include("repairs.bench.urls")),
]
