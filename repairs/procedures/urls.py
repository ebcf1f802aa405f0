from django.urls import path

from repairs.procedures import views

urlpatterns = [
    path("house/procedures/", views.procedure_list, name="procedures"),
    path("house/procedures/<slug:key>/", views.procedure_page, name="procedure"),
    path("house/procedures/<slug:key>/edit/", views.procedure_edit, name="procedure_edit"),
]
