from django.urls import path

from repairs.books import views

urlpatterns = [
    path("papers/money/books/", views.books_page, name="books"),
    path("papers/money/books/<int:year>/closing/", views.closing, name="closing"),
    path("papers/money/books/<int:year>/close/", views.close, name="close"),
    path("papers/money/books/<int:year>/<slug:what>/", views.export, name="export"),
    path("papers/money/check/", views.check, name="check"),
]
