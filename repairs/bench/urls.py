from django.urls import path

from repairs.bench import start_views, views

app_name = "bench"
urlpatterns = [
    path("", views.home, name="home"),
    path("start/", start_views.start_page, name="start"),
    path("start/pass/", start_views.start_pass, name="start_pass"),
    path("counter/", views.counter, name="counter"),
    path("search/", views.search, name="search"),
    path("cases/<str:number>/", views.case_page, name="case"),
]
