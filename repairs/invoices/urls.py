"""Addresses of drafts and of the files of an invoice."""

from django.urls import path

from repairs.invoices import file_views, views

urlpatterns = [
    path("papers/money/drafts/add/", views.draft_add, name="draft_add"),
    path("papers/money/drafts/<int:draft>/", views.draft_edit, name="draft"),
    path("papers/money/drafts/<int:draft>/discard/", views.draft_discard, name="draft_discard"),
    path("papers/money/drafts/<int:draft>/issue/", views.draft_issue, name="issue"),
    path("papers/money/drafts/<int:draft>/preview.pdf", views.draft_preview, name="preview"),
    path("papers/money/invoices/<str:invoice>/credit/", views.credit, name="credit"),
    path("papers/money/invoices/<str:invoice>/xml/", file_views.xml_page, name="xml"),
    path("papers/money/invoices/<str:invoice>/files/<slug:what>/", file_views.file, name="file"),
]
