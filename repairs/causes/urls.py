"""Addresses of the causes; joined to those of readings, whose names they share."""

from django.urls import path

from repairs.causes import views

urlpatterns = [
    path("cases/<str:number>/diagnosis/", views.diagnosis, name="diagnosis"),
    path("cases/<str:number>/diagnosis/what-it-was/", views.say, name="what_it_was"),
]
