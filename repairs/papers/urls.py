from django.urls import path

from repairs.papers import views

app_name = "papers"
urlpatterns = [
    path("papers/", views.paper_list, name="list"),
    path("papers/<uuid:uuid>/", views.paper_detail, name="detail"),
    path("papers/<uuid:uuid>/file.pdf", views.paper_file, name="file"),
    path("papers/<uuid:uuid>/data.json", views.paper_data, name="data"),
    path("cases/<str:number>/make/<slug:kind>/", views.make, name="make"),
    path("cases/<str:number>/make/<slug:kind>/preview/", views.make_preview, name="make_preview"),
    path("cases/<str:number>/make/<slug:kind>/issue/", views.make_issue, name="make_issue"),
    path("cases/<str:number>/preview/<uuid:uuid>.pdf", views.preview_file, name="preview_file"),
    path("cases/<str:number>/return/", views.hand_over, name="return"),
]
