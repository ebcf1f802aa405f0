from django.urls import path

from repairs.people import seal_views, views
from repairs.screens.once import sent_again_is_harmless

app_name = "people"
at_the_door = sent_again_is_harmless("who is in is in, who is out is out")
urlpatterns = [
    path("sign-in/", at_the_door(views.SignInView.as_view()), name="sign_in"),
    path("sign-out/", at_the_door(views.SignOutView.as_view()), name="sign_out"),
    path("language/", at_the_door(views.choose_language), name="language"),
    path("people/", views.client_list, name="clients"),
    path("people/add/", views.client_add, name="client_add"),
    path("people/<int:pk>/", views.client_detail, name="client"),
    path("people/<int:pk>/edit/", views.client_edit, name="client_edit"),
    path("people/<int:pk>/consent/", views.consent_add, name="consent_add"),
    path(
        "people/<int:pk>/consent/<int:consent>/withdraw/",
        views.consent_withdraw,
        name="consent_withdraw",
    ),
    path("people/house/", views.house_as_owner, name="house_as_owner"),
    path("house/", views.house_edit, name="house"),
    path("house/billing/", views.house_billing, name="house_billing"),
    path("house/seal/", seal_views.seal, name="seal"),
    path("house/seal/new/", seal_views.seal_new, name="seal_new"),
    path("house/seal/stamps/", seal_views.seal_stamps, name="seal_stamps"),
    path("house/people/add/", views.user_form, name="user_add"),
    path("house/people/<int:pk>/", views.user_form, name="user"),
]
