"""Rows of the top floor."""

from shop.models.bench import RepairStep, StationDraft, TestRow, TestRun, TestSheet, WorkSession
from shop.models.branches import BagCount, ComebackCause, DataCopy, OwnDamage, SlipEnd
from shop.models.pictures import PhonePass, PhotoMark
from shop.models.returns import Cost, Override, Parcel, Warranty, WipeRecord
from shop.models.unlocking import CodeShowing, UnlockCode

__all__ = [
    "BagCount",
    "CodeShowing",
    "ComebackCause",
    "Cost",
    "DataCopy",
    "Override",
    "OwnDamage",
    "Parcel",
    "PhonePass",
    "PhotoMark",
    "RepairStep",
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
