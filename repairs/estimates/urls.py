from django.urls import path

from repairs.estimates import consent_views, public_views, views

app_name = "estimates"
CASE = "cases/<str:number>/"
ONE = f"{CASE}estimates/<int:version>/"
CONSENT = f"{CASE}consents/<int:consent>/"
urlpatterns = [
    path(f"{CASE}estimates/", views.estimate_list, name="list"),
    path(f"{CASE}estimates/new/", views.estimate_new, name="new"),
    path(ONE, views.estimate_detail, name="detail"),
    path(f"{ONE}edit/", views.estimate_edit, name="edit"),
    path(f"{ONE}preview.pdf", views.estimate_preview, name="preview"),
    path(f"{ONE}issue/", views.estimate_issue, name="issue"),
    path(f"{ONE}withdraw/", views.estimate_withdraw, name="withdraw"),
    path(f"{ONE}link/", consent_views.link_make, name="link"),
    path(f"{ONE}link/shown/", consent_views.link_shown, name="link_shown"),
    path(f"{ONE}links/revoke/", consent_views.links_revoke, name="revoke"),
    path(f"{ONE}premises/", consent_views.premises, name="premises"),
    path(f"{ONE}spoken/", consent_views.spoken, name="spoken"),
    path(CONSENT, consent_views.consent_detail, name="consent"),
    path(f"{CONSENT}record.pdf", consent_views.record_preview, name="record_preview"),
    path(f"{CONSENT}record/", consent_views.record_issue, name="record"),
    path("consent/noted/", public_views.thanks, name="thanks"),
    path("consent/<str:token>/", public_views.decide_page, name="decide"),
    path("consent/<str:token>/estimate.pdf", public_views.decide_file, name="decide_file"),
]
