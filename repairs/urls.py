"""Addresses of all rooms."""

from types import ModuleType

from django.urls import include, path
from django.urls.resolvers import URLResolver

from repairs.books import urls as books
from repairs.causes import urls as causes
from repairs.estimates import urls as estimates
from repairs.estimates.consent import urls as consent
from repairs.invoices import urls as invoices
from repairs.payments import urls as payments
from repairs.procedures import urls as procedures
from repairs.readings import urls as readings
from repairs.treatment import urls as treatment


def joined(name: str, *rooms: ModuleType) -> URLResolver:
    """One namespace over the addresses of several rooms, so that no name in a template changes."""
    rows = [row for room in rooms for row in room.urlpatterns]
    return path("", include((rows, name)))


urlpatterns = [
    path("", include("repairs.people.urls")),
    path("", include("repairs.press.urls")),
    path("", include("repairs.instruments.urls")),
    path("wood/", include("repairs.wood.urls")),
    path("", include("repairs.cases.urls")),
    path("cases/<str:number>/photos/", include("repairs.photos.urls")),
    path("cases/<str:number>/", include("repairs.findings.urls")),
    joined("readings", readings, causes),
    joined("treatment", treatment, procedures),
    joined("estimates", estimates, consent),
    joined("invoices", invoices, payments, books),
    path("", include("repairs.papers.urls")),
    path("keep/", include("repairs.keep.urls")),
    path("", include("repairs.bench.urls")),
]
