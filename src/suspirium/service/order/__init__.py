"""The order of a service: its hymns and other moments."""

from suspirium.service.order.model import HymnMoment, Moment, Order
from suspirium.service.order.reader import read_order
from suspirium.service.order.writer import moment_text, order_text

__all__ = ["HymnMoment", "Moment", "Order", "moment_text", "order_text", "read_order"]
