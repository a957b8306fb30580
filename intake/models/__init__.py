"""Rows of the ground floor."""

from intake.models.access import CustomerLink, Draft
from intake.models.arrival import Arrival
from intake.models.history import HistoryEntry, HistoryHead
from intake.models.letter import Letter, LetterTry, Paper
from intake.models.letterhead import Letterhead
from intake.models.message import Message
from intake.models.order import Device, Order, Slip, StationLine
from intake.models.people import Address, Customer, Person
from intake.models.photo import Photo

__all__ = [
    "Address",
    "Arrival",
    "Customer",
    "CustomerLink",
    "Device",
    "Draft",
    "HistoryEntry",
    "HistoryHead",
    "Letter",
    "LetterTry",
    "Letterhead",
    "Message",
    "Order",
    "Paper",
    "Person",
    "Photo",
    "Slip",
    "StationLine",
]
