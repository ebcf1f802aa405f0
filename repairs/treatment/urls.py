from django.urls import path

from repairs.treatment import procedure_views, thing_views, views

WORK = "cases/<str:number>/work/<int:work>/"

app_name = "treatment"
urlpatterns = [
    path("cases/<str:number>/agreed/", views.agree, name="agree"),
    path("cases/<str:number>/agreed/<int:agreed>/begin/", views.begin, name="begin"),
    path("cases/<str:number>/agreed/<int:agreed>/drop/", views.drop, name="drop"),
    path(WORK, views.work_page, name="work"),
    path(f"{WORK}clock/", views.clock, name="clock"),
    path(f"{WORK}minutes/", views.minutes, name="minutes"),
    path(f"{WORK}steps/", views.steps, name="steps"),
    path(f"{WORK}words/", views.describe, name="describe"),
    path(f"{WORK}proof/", views.proof, name="proof"),
    path(f"{WORK}followed/<int:prescription>/", thing_views.follow, name="follow"),
    path(f"{WORK}materials/", thing_views.material_add, name="material_add"),
    path(f"{WORK}materials/<int:pk>/back/", thing_views.material_back, name="material_back"),
    path(f"{WORK}removed/", thing_views.removed_add, name="removed_add"),
    path(f"{WORK}new/", thing_views.new_part, name="new_part"),
    path(f"{WORK}new/<int:pk>/back/", thing_views.new_part_back, name="new_part_back"),
    path("cases/<str:number>/bags/<int:bag>/", thing_views.bag_page, name="bag"),
    path("cases/<str:number>/bags/<int:bag>/fate/", thing_views.fate, name="fate"),
    path("cases/<str:number>/bags/<int:bag>/label.pdf", thing_views.bag_label, name="bag_label"),
    path("house/procedures/", procedure_views.procedure_list, name="procedures"),
    path("house/procedures/<slug:key>/", procedure_views.procedure_page, name="procedure"),
    path(
        "house/procedures/<slug:key>/edit/", procedure_views.procedure_edit, name="procedure_edit"
    ),
]
