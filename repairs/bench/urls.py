from django.urls import path

from repairs.bench import views

app_name = "bench"
urlpatterns = [
    path("", views.home, name="home"),
    path("counter/", views.counter, name="counter"),
    path("search/", views.search, name="search"),
    path("cases/<str:number>/", views.case_page, name="case"),
]
