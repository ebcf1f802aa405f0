from django.urls import path

from repairs.instruments import hazard_views, views

app_name = "instruments"
urlpatterns = [
    path("instruments/", views.instrument_list, name="list"),
    path("people/<int:owner>/instrument/", views.instrument_add, name="add"),
    path("instruments/<str:number>/", views.instrument_detail, name="detail"),
    path("instruments/<str:number>/edit/", views.instrument_edit, name="edit"),
    path("instruments/<str:number>/parts/", views.instrument_parts, name="parts"),
    path("instruments/<str:number>/parts/add/", views.part_add, name="part_add"),
    path("instruments/<str:number>/parts/usual/", views.usual_materials, name="usual"),
    path("instruments/<str:number>/hazards/", hazard_views.hazards, name="hazards"),
    path(
        "instruments/<str:number>/hazards/<slug:hazard>/lift/",
        hazard_views.hazard_lift,
        name="hazard_lift",
    ),
]
