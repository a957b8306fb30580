"""What an order leaves."""
