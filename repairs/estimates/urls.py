"""Addresses of the estimates of a case."""

from django.urls import path

from repairs.estimates import views

CASE = "cases/<str:number>/"
ONE = f"{CASE}estimates/<int:version>/"

urlpatterns = [
    path(f"{CASE}estimates/", views.estimate_list, name="list"),
    path(f"{CASE}estimates/new/", views.estimate_new, name="new"),
    path(ONE, views.estimate_detail, name="detail"),
    path(f"{ONE}edit/", views.estimate_edit, name="edit"),
    path(f"{ONE}preview.pdf", views.estimate_preview, name="preview"),
    path(f"{ONE}issue/", views.estimate_issue, name="issue"),
    path(f"{ONE}withdraw/", views.estimate_withdraw, name="withdraw"),
]
