"""The tables of selling, one file a noun."""

from .buyer_link import BuyerLink
from .document import Document, DocumentKind
from .order import FootageBasis, FootageRounding, Order, OrderState
from .order_line import LineKind, OrderLine, Per
from .payment import Payment, PaymentWay
from .price_rule import PriceOf, PriceRule
from .reservation import Reservation
from .sale_settings import SaleSettings
from .wish import Wish

__all__ = [
    "BuyerLink", "Document", "DocumentKind", "FootageBasis", "FootageRounding", "LineKind", "Order", "OrderLine",
    "OrderState", "Payment", "PaymentWay", "Per", "PriceOf", "PriceRule", "Reservation", "SaleSettings", "Wish",
]  # fmt: skip
