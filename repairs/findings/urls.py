from django.urls import path

from repairs.findings import tag_views, views

app_name = "findings"
urlpatterns = [
    path("findings/add/", views.finding_add, name="add"),
    path("findings/<int:finding>/", views.finding_edit, name="edit"),
    path("findings/<int:finding>/withdraw/", views.finding_withdraw, name="withdraw"),
    path("findings/<int:finding>/restore/", views.finding_restore, name="restore"),
    path("look/", views.look_over, name="look_over"),
    path("look/parts/", views.parts_looked_at, name="parts"),
    path("look/done/", views.finish_look, name="finish"),
    path("photos/<int:photo>/", tag_views.photo_detail, name="photo"),
    path("photos/<int:photo>/annotations.json", tag_views.photo_annotations, name="annotations"),
    path("photos/<int:photo>/tags/", tag_views.tag_create, name="tag_create"),
    path("photos/<int:photo>/tags/<int:tag>/", tag_views.tag_change, name="tag_change"),
    path(
        "photos/<int:photo>/tags/<int:tag>/withdraw/", tag_views.tag_withdraw, name="tag_withdraw"
    ),
    path("photos/<int:photo>/tags/<int:tag>/restore/", tag_views.tag_restore, name="tag_restore"),
]
