"""Rows of the top floor."""

from shop.models.bench import RepairStep, StationDraft, TestRow, TestRun, TestSheet, WorkSession
from shop.models.returns import Cost, Override, Parcel, Warranty, WipeRecord

__all__ = [
    "Cost",
    "Override",
    "Parcel",
    "RepairStep",
    "StationDraft",
    "TestRow",
    "TestRun",
    "TestSheet",
    "Warranty",
    "WipeRecord",
    "WorkSession",
]
