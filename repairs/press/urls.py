from django.urls import path

from repairs.press import views

app_name = "press"
urlpatterns = [
    path("verify/", views.verify_page, name="verify"),
    path("verify/<str:code>/", views.verify_page, name="verify_code"),
    path("verify/<str:code>/proofs/<int:pk>/", views.proof_file, name="proof"),
]
