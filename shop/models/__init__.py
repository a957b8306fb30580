"""Rows of the top floor."""

from shop.models.bench import RepairStep, StationDraft, TestRow, TestRun, TestSheet, WorkSession
from shop.models.books import BookDay, BookLine, BookReport, ReadKey, ShopHours
from shop.models.branches import BagCount, ComebackCause, DataCopy, OwnDamage, SlipEnd
from shop.models.doors import KnownBrowser, RecoveryCode, SecondFactor, SignInTry
from shop.models.keeping import Erasure, RetentionPlan, Sight
from shop.models.pictures import PhonePass, PhotoMark
from shop.models.returns import Cost, Override, Parcel, Warranty, WipeRecord
from shop.models.running import BackupSet, ClockMark, RestoreDrill
from shop.models.unlocking import CodeShowing, UnlockCode

__all__ = [
    "BackupSet",
    "BagCount",
    "BookDay",
    "BookLine",
    "BookReport",
    "ClockMark",
    "CodeShowing",
    "ComebackCause",
    "Cost",
    "DataCopy",
    "Erasure",
    "KnownBrowser",
    "Override",
    "OwnDamage",
    "Parcel",
    "PhonePass",
    "PhotoMark",
    "ReadKey",
    "RecoveryCode",
    "RepairStep",
    "RestoreDrill",
    "RetentionPlan",
    "SecondFactor",
    "ShopHours",
    "Sight",
    "SignInTry",
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
