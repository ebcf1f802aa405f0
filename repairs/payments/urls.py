from django.urls import path

from repairs.payments import paper_views, views

urlpatterns = [
    path("papers/money/", views.money, name="money"),
    path("papers/money/invoices/<str:invoice>/", views.invoice_page, name="invoice"),
    path("papers/money/invoices/<str:invoice>/pay/", views.pay, name="pay"),
    path(
        "papers/money/invoices/<str:invoice>/payments/<int:payment>/reverse/",
        views.reverse_payment,
        name="reverse",
    ),
    path("papers/money/invoices/<str:invoice>/remind/", paper_views.remind, name="remind"),
    path("papers/money/invoices/<str:invoice>/send/", paper_views.send, name="send"),
    path("papers/money/papers/<uuid:paper>.pdf", paper_views.paper_file, name="paper"),
    path("papers/money/clients/<int:owner>/", paper_views.statement, name="statement"),
]
