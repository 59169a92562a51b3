"""Stage 4b and 8: day expressions and clock times, and the dates they mean."""

from .calendar import numeric_readings, resolve
from .clock import read_clock
from .day import Day, read_day

__all__ = ["Day", "numeric_readings", "read_clock", "read_day", "resolve"]
