"""Which steps of the sampling protocol were said to be done."""

from .checklist import check, check_visit
from .records import CheckItem, Checklist

__all__ = ["CheckItem", "Checklist", "check", "check_visit"]
