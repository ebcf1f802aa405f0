from django.urls import path

from repairs.keep import views

app_name = "keep"
urlpatterns = [
    path("", views.backups, name="backups"),
    path("now/", views.back_up_now, name="now"),
    path("sheet/", views.sheet, name="sheet"),
]
