from django.urls import path

from repairs.papers import views

app_name = "papers"
urlpatterns = [
    path("papers/", views.paper_list, name="list"),
    path("papers/<uuid:uuid>/", views.paper_detail, name="detail"),
    path("papers/<uuid:uuid>/file.pdf", views.paper_file, name="file"),
    path("papers/<uuid:uuid>/data.json", views.paper_data, name="data"),
    path("cases/<str:number>/report/", views.report, name="report"),
    path("cases/<str:number>/report/preview/", views.report_preview, name="report_preview"),
    path("cases/<str:number>/report/issue/", views.report_issue, name="report_issue"),
    path(
        "cases/<str:number>/report/preview/<uuid:uuid>.pdf",
        views.preview_file,
        name="preview_file",
    ),
]
