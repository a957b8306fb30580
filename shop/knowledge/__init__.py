"""What the shop knows of good boards and of its meters: the pages of it."""
