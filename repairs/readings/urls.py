"""Addresses of readings, limits and tools."""

from django.urls import path

from repairs.readings import house_views, measured_views, views
from repairs.readings.setup import views as setup_views

urlpatterns = [
    path("cases/<str:number>/readings/", views.choose, name="choose"),
    path("cases/<str:number>/readings/take/<slug:gauge>/", views.take, name="take"),
    path("cases/<str:number>/readings/try/<slug:gauge>/", views.try_values, name="try"),
    path("cases/<str:number>/readings/<int:reading>/", views.detail, name="detail"),
    path("cases/<str:number>/readings/<int:reading>/card/", views.card, name="card"),
    path("cases/<str:number>/readings/<int:reading>/anew/", views.recompute, name="recompute"),
    path("cases/<str:number>/readings/<int:reading>/withdraw/", views.withdraw, name="withdraw"),
    path(
        "cases/<str:number>/findings/<int:finding>/measured/",
        measured_views.measured,
        name="measured",
    ),
    path("cases/<str:number>/setup/", setup_views.page, name="setup"),
    path("cases/<str:number>/setup/begin/", setup_views.begin, name="setup_begin"),
    path("cases/<str:number>/setup/mark/", setup_views.mark, name="setup_mark"),
    path("cases/<str:number>/setup/end/", setup_views.end, name="setup_end"),
    path("house/tools/", house_views.tools, name="tools"),
    path("house/limits/", house_views.limits, name="limits"),
    path("house/limits/<slug:gauge>/<slug:figure>/", house_views.limit_edit, name="limit_edit"),
]
