from django.urls import path

from repairs.cases import newcomers, views

app_name = "cases"
urlpatterns = [
    path("take-in/", views.choose_instrument, name="choose"),
    path("take-in/new/", newcomers.newcomer, name="new"),
    path("take-in/<str:instrument>/", views.take_in, name="take_in"),
    path("cases/<str:number>/edit/", views.case_edit, name="edit"),
    path("cases/<str:number>/wait/", views.case_wait, name="wait"),
    path("cases/<str:number>/place/", views.case_place, name="place"),
    path("cases/<str:number>/receipt/", views.receipt, name="receipt"),
    path("cases/<str:number>/receipt/preview.pdf", views.receipt_preview, name="receipt_preview"),
    path("cases/<str:number>/label.pdf", views.label, name="label"),
]
