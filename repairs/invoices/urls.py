from django.urls import path

from repairs.invoices import book_views, paper_views, views

app_name = "invoices"
urlpatterns = [
    path("papers/money/", views.money, name="money"),
    path("papers/money/drafts/add/", views.draft_add, name="draft_add"),
    path("papers/money/drafts/<int:draft>/", views.draft_edit, name="draft"),
    path("papers/money/drafts/<int:draft>/discard/", views.draft_discard, name="draft_discard"),
    path("papers/money/drafts/<int:draft>/issue/", views.draft_issue, name="issue"),
    path("papers/money/drafts/<int:draft>/preview.pdf", views.draft_preview, name="preview"),
    path("papers/money/invoices/<str:invoice>/", views.invoice_page, name="invoice"),
    path("papers/money/invoices/<str:invoice>/pay/", views.pay, name="pay"),
    path(
        "papers/money/invoices/<str:invoice>/payments/<int:payment>/reverse/",
        views.reverse_payment,
        name="reverse",
    ),
    path("papers/money/invoices/<str:invoice>/credit/", views.credit, name="credit"),
    path("papers/money/invoices/<str:invoice>/remind/", paper_views.remind, name="remind"),
    path("papers/money/invoices/<str:invoice>/send/", paper_views.send, name="send"),
    path("papers/money/invoices/<str:invoice>/xml/", paper_views.xml_page, name="xml"),
    path("papers/money/invoices/<str:invoice>/files/<slug:what>/", paper_views.file, name="file"),
    path("papers/money/papers/<uuid:paper>.pdf", paper_views.paper_file, name="paper"),
    path("papers/money/clients/<int:owner>/", paper_views.statement, name="statement"),
    path("papers/money/books/", book_views.books_page, name="books"),
    path("papers/money/books/<int:year>/closing/", book_views.closing, name="closing"),
    path("papers/money/books/<int:year>/close/", book_views.close, name="close"),
    path("papers/money/books/<int:year>/<slug:what>/", book_views.export, name="export"),
    path("papers/money/check/", book_views.check, name="check"),
]
