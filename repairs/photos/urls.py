from django.urls import path

from repairs.photos import naming_views, sending_views, views

app_name = "photos"
urlpatterns = [
    path("add/", views.photos_add, name="add"),
    path("name/", naming_views.name_views, name="name"),
    path("begin/", sending_views.upload_begin, name="begin"),
    path("send/<uuid:uuid>/", sending_views.upload_send, name="send"),
    path("states/", sending_views.photo_states, name="states"),
    path("<int:photo>/<int:size>.jpg", views.picture, name="picture"),
    path("<int:photo>/describe/", views.photo_describe, name="describe"),
    path("<int:photo>/develop/", views.photo_develop, name="develop"),
    path("<int:photo>/withdraw/", views.photo_withdraw, name="withdraw"),
    path("<int:photo>/restore/", views.photo_restore, name="restore"),
]
