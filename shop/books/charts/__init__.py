"""Drawings of the books as SVG in data addresses: the content policy allows no drawing within the page. Pure.

Each kind takes plain rows with their words, and gives a `Chart`: one drawing for a wide page and paper, one for a phone, with title
and description. Ink on white, told apart by filling and place and never by colour alone, so that they are read on grey paper too. A
chart never stands without a table that says the same.
"""

from shop.books.charts.bars import Bar, bars
from shop.books.charts.curve import CurveStep, Mark, curve
from shop.books.charts.drawing import Chart, data_address
from shop.books.charts.falling import Fall, falling
from shop.books.charts.individuals import Point, individuals
from shop.books.charts.spark import spark
from shop.books.charts.stacked import Stack, stacked

__all__ = [
    "Bar",
    "Chart",
    "CurveStep",
    "Fall",
    "Mark",
    "Point",
    "Stack",
    "bars",
    "curve",
    "data_address",
    "falling",
    "individuals",
    "spark",
    "stacked",
]
