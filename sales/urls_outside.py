"""Addresses for people who do not log in: a buyer's private link, and the wood for sale if the owner opens it."""

from django.urls import path

from sales.views import buyer_quote, for_sale

app_name = "outside"

urlpatterns = [
    path("quote/<str:secret>/", buyer_quote.buyer_quote, name="buyer-quote"),
    path("quote/<str:secret>/pdf/", buyer_quote.buyer_quote_pdf, name="buyer-quote-pdf"),
    path("for-sale/", for_sale.for_sale, name="for-sale"),
    path("for-sale/feed/", for_sale.for_sale_feed, name="for-sale-feed"),
    path("for-sale/photos/<int:pk>/small/", for_sale.for_sale_photo, {"size": "small"}, name="for-sale-photo-small"),
    path("for-sale/photos/<int:pk>/large/", for_sale.for_sale_photo, {"size": "large"}, name="for-sale-photo-large"),
    path("for-sale/<slug:code>/", for_sale.for_sale_slab, name="for-sale-slab"),
]
