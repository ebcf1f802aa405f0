from django.urls import path

from repairs.findings import photo_views, tag_views, views

app_name = "findings"
urlpatterns = [
    path("findings/add/", views.finding_add, name="add"),
    path("findings/<int:finding>/", views.finding_edit, name="edit"),
    path("findings/<int:finding>/withdraw/", views.finding_withdraw, name="withdraw"),
    path("findings/<int:finding>/restore/", views.finding_restore, name="restore"),
    path("look/", views.look_over, name="look_over"),
    path("look/parts/", views.parts_looked_at, name="parts"),
    path("look/done/", views.finish_look, name="finish"),
    path("photos/<int:photo>/", photo_views.photo_detail, name="photo"),
    path("photos/<int:photo>/findings/", photo_views.note_seen, name="note_seen"),
    path("photos/<int:photo>/findings/<int:finding>/more/", photo_views.more_of, name="more_of"),
    path(
        "photos/<int:photo>/findings/<int:finding>/take-back/",
        photo_views.take_back,
        name="take_back",
    ),
    path("photos/<int:photo>/map/", photo_views.lay_map, name="lay_map"),
    path("maps/<slug:name>/", photo_views.part_map_of, name="part_map"),
    path("photos/<int:photo>/annotations.json", tag_views.photo_annotations, name="annotations"),
    path("photos/<int:photo>/tags/", tag_views.tag_create, name="tag_create"),
    path("photos/<int:photo>/tags/<int:tag>/", tag_views.tag_change, name="tag_change"),
    path(
        "photos/<int:photo>/tags/<int:tag>/withdraw/", tag_views.tag_withdraw, name="tag_withdraw"
    ),
    path("photos/<int:photo>/tags/<int:tag>/restore/", tag_views.tag_restore, name="tag_restore"),
]
