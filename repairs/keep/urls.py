from django.urls import path

from repairs.keep import failed_views, store_views, trust_views, views

app_name = "keep"
urlpatterns = [
    path("keep/", views.backups, name="backups"),
    path("keep/now/", views.back_up_now, name="now"),
    path("keep/sheet/", views.sheet, name="sheet"),
    path("keep/files/", store_views.store_page, name="store"),
    path("keep/files/mend/", store_views.store_mend, name="store_mend"),
    path("trust/", trust_views.trust, name="trust"),
    path("trust/house.crt", trust_views.trust_file, name="trust_file"),
    path("keep/failed/", failed_views.failed_page, name="failed"),
    path("keep/failed/<uuid:job>/again/", failed_views.failed_again, name="failed_again"),
    path("keep/failed/<uuid:job>/let-go/", failed_views.failed_let_go, name="failed_let_go"),
]
