"""Rows of the top floor."""

from shop.models.bench import RepairStep, StationDraft, TestRow, TestRun, TestSheet, WorkSession
from shop.models.books import BookDay, BookLine, BookReport, ReadKey, ShopHours
from shop.models.branches import BagCount, ComebackCause, DataCopy, OwnDamage, SlipEnd
from shop.models.pictures import PhonePass, PhotoMark
from shop.models.returns import Cost, Override, Parcel, Warranty, WipeRecord
from shop.models.unlocking import CodeShowing, UnlockCode

__all__ = [
    "BagCount",
    "BookDay",
    "BookLine",
    "BookReport",
    "CodeShowing",
    "ComebackCause",
    "Cost",
    "DataCopy",
    "Override",
    "OwnDamage",
    "Parcel",
    "PhonePass",
    "PhotoMark",
    "ReadKey",
    "RepairStep",
    "ShopHours",
    "SlipEnd",
    "StationDraft",
    "TestRow",
    "TestRun",
    "TestSheet",
    "UnlockCode",
    "Warranty",
    "WipeRecord",
    "WorkSession",
]
