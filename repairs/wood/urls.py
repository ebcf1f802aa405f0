from django.urls import path

from repairs.wood import views

app_name = "wood"
urlpatterns = [
    path("", views.piece_list, name="list"),
    path("add/", views.piece_add, name="add"),
    path("<str:number>/", views.piece_detail, name="piece"),
    path("<str:number>/edit/", views.piece_edit, name="edit"),
    path("<str:number>/test/", views.piece_test, name="test"),
    path("<str:number>/take/", views.piece_take, name="take"),
    path("<str:number>/back/<int:withdrawal>/", views.piece_put_back, name="put_back"),
    path("<str:number>/offcut/", views.piece_offcut, name="offcut"),
    path("<str:number>/used-up/", views.piece_used_up, name="used_up"),
]
