"""The doors: how staff come in, how long they stay in, and every try at the door."""
