from django.urls import path

from repairs.treatment import agree_views, clock_views, ledger_views, part_views, views

WORK = "cases/<str:number>/work/<int:work>/"

urlpatterns = [
    path("cases/<str:number>/agreed/", agree_views.agree, name="agree"),
    path("cases/<str:number>/agreed/<int:agreed>/begin/", agree_views.begin, name="begin"),
    path("cases/<str:number>/agreed/<int:agreed>/drop/", agree_views.drop, name="drop"),
    path(WORK, views.work_page, name="work"),
    path(f"{WORK}clock/", clock_views.clock, name="clock"),
    path(f"{WORK}minutes/", clock_views.minutes, name="minutes"),
    path(f"{WORK}steps/", views.steps, name="steps"),
    path(f"{WORK}steps/now/", views.step_states, name="step_states"),
    path(f"{WORK}card/", views.work_card, name="card"),
    path(f"{WORK}words/", views.describe, name="describe"),
    path(f"{WORK}proof/", views.proof, name="proof"),
    path(f"{WORK}followed/<int:prescription>/", part_views.follow, name="follow"),
    path(f"{WORK}materials/", part_views.material_add, name="material_add"),
    path(f"{WORK}materials/<int:pk>/back/", part_views.material_back, name="material_back"),
    path(f"{WORK}removed/", part_views.removed_add, name="removed_add"),
    path(f"{WORK}new/", part_views.new_part, name="new_part"),
    path(f"{WORK}new/<int:pk>/back/", part_views.new_part_back, name="new_part_back"),
    path("instruments/<str:number>/wheel/", ledger_views.wheel_ledger, name="wheel_ledger"),
    path("cases/<str:number>/bags/<int:bag>/", part_views.bag_page, name="bag"),
    path("cases/<str:number>/bags/<int:bag>/fate/", part_views.fate, name="fate"),
    path("cases/<str:number>/bags/<int:bag>/label.pdf", part_views.bag_label, name="bag_label"),
]
