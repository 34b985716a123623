"""The URLs of selling; each name has its row in `sales/access.py`."""

from django.urls import path

from sales.views import (
    document_page,
    document_pdf,
    order_edit,
    order_lines,
    order_links,
    order_new,
    order_page,
    order_pay,
    order_pick,
    order_steps,
    orders,
    price_rule,
    prices,
    sale_settings,
)

app_name = "sales"

urlpatterns = [
    path("prices/", prices.prices, name="prices"),
    path("prices/new/", price_rule.price_new, name="price-new"),
    path("prices/<int:pk>/", price_rule.price_rule, name="price-rule"),
    path("prices/<int:pk>/end/", price_rule.price_end, name="price-end"),
    path("orders/", orders.orders, name="orders"),
    path("orders/new/", order_new.order_new, name="order-new"),
    path("orders/<int:pk>/", order_page.order_page, name="order-page"),
    path("orders/<int:pk>/edit/", order_edit.order_edit, name="order-edit"),
    path("orders/<int:pk>/slabs/", order_page.order_slabs, name="order-slabs"),
    path("orders/<int:pk>/asked/", order_lines.order_asked, name="order-asked"),
    path("orders/<int:pk>/other/", order_lines.order_other, name="order-other"),
    path("orders/<int:pk>/charge/", order_lines.order_work, name="order-work"),
    path("orders/<int:pk>/price-anew/", order_lines.order_price_anew, name="order-price-anew"),
    path("orders/<int:pk>/quote/", order_steps.order_quote, name="order-quote"),
    path("orders/<int:pk>/take-back/", order_steps.order_take_back, name="order-take-back"),
    path("orders/<int:pk>/yes/", order_steps.order_yes, name="order-yes"),
    path("orders/<int:pk>/pick/", order_pick.order_pick, name="order-pick"),
    path("orders/<int:pk>/go/", order_steps.order_go, name="order-go"),
    path("orders/<int:pk>/invoice/", order_steps.order_invoice, name="order-invoice"),
    path("orders/<int:pk>/off/", order_steps.order_off, name="order-off"),
    path("orders/<int:pk>/pay/", order_pay.order_pay, name="order-pay"),
    path("orders/<int:pk>/links/", order_links.order_links, name="order-links"),
    path("links/<int:pk>/withdraw/", order_links.order_link_withdraw, name="order-link-withdraw"),
    path("lines/<int:pk>/", order_lines.order_line, name="line-edit"),
    path("lines/<int:pk>/off/", order_lines.order_line_off, name="line-off"),
    path("lines/<int:pk>/replace/", order_lines.order_line_replace, name="line-replace"),
    path("lines/<int:pk>/unpick/", order_pick.order_unpick, name="line-unpick"),
    path("payments/<int:pk>/void/", order_pay.order_payment_void, name="payment-void"),
    path("documents/<int:pk>/", document_page.document_page, name="document-page"),
    path("documents/<int:pk>/pdf/", document_pdf.document_pdf, name="document-pdf"),
    path("settings/", sale_settings.sale_settings, name="sale-settings"),
]
