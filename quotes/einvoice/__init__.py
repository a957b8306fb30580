"""The electronic invoice of EN 16931: plain facts, their arithmetic, two ways to write them, and the PDF that holds one."""
