"""The vault: unlock codes, sealed, shown for a minute with a reason, erased when the device leaves."""
