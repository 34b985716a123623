"""Addresses for people who do not log in: a buyer's private link, and the wood for sale if the owner opens it."""

from django.urls import path

from sales.views import buyer_quote

app_name = "outside"

urlpatterns = [
    path("quote/<str:secret>/", buyer_quote.buyer_quote, name="buyer-quote"),
    path("quote/<str:secret>/pdf/", buyer_quote.buyer_quote_pdf, name="buyer-quote-pdf"),
]
