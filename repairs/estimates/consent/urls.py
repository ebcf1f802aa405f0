"""Addresses of the decision: those of the house, and the four that an owner opens."""

from django.urls import path

from repairs.estimates.consent import owner_views, views

CASE = "cases/<str:number>/"
ONE = f"{CASE}estimates/<int:version>/"
CONSENT = f"{CASE}consents/<int:consent>/"

urlpatterns = [
    path(f"{ONE}link/", views.link_make, name="link"),
    path(f"{ONE}link/shown/", views.link_shown, name="link_shown"),
    path(f"{ONE}links/revoke/", views.links_revoke, name="revoke"),
    path(f"{ONE}premises/", views.premises, name="premises"),
    path(f"{ONE}spoken/", views.spoken, name="spoken"),
    path(CONSENT, views.consent_detail, name="consent"),
    path(f"{CONSENT}record.pdf", views.record_preview, name="record_preview"),
    path(f"{CONSENT}record/", views.record_issue, name="record"),
    path("consent/noted/", owner_views.thanks, name="thanks"),
    path("consent/<str:token>/", owner_views.decide_page, name="decide"),
    path("consent/<str:token>/estimate.pdf", owner_views.decide_file, name="decide_file"),
    path("consent/<str:token>/photo/<int:which>/", owner_views.decide_picture, name="decide_photo"),
]
