from django.urls import path

from repairs.bench import log_views, start_views, views

app_name = "bench"
urlpatterns = [
    path("", views.home, name="home"),
    path("start/", start_views.start_page, name="start"),
    path("start/pass/", start_views.start_pass, name="start_pass"),
    path("house/log/", log_views.log_head, name="log_head"),
    path("house/log/numbers/", log_views.look_at_number, name="look_at_number"),
    path("house/log/go-on/", log_views.go_on, name="go_on"),
    path("counter/", views.counter, name="counter"),
    path("search/", views.search, name="search"),
    path("cases/<str:number>/", views.case_page, name="case"),
]
