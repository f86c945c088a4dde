"""Quantities with their units: read exactly from what people write, and written for people to read."""

from packcheck.files.quantities.complaints import QuantityProblem
from packcheck.files.quantities.parsing import (
    Accuracy,
    Bounds,
    parse_accuracy,
    parse_bounds,
    parse_heading,
    parse_number_with_unit,
    parse_quantity,
)
from packcheck.files.quantities.showing import format_interval, format_quantity
from packcheck.files.quantities.units import FACTORS, Dimension, plain_signs

__all__ = [
    "FACTORS",
    "Accuracy",
    "Bounds",
    "Dimension",
    "QuantityProblem",
    "format_interval",
    "format_quantity",
    "parse_accuracy",
    "parse_bounds",
    "parse_heading",
    "parse_number_with_unit",
    "parse_quantity",
    "plain_signs",
]
