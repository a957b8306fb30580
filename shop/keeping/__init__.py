"""Personal data: what is kept, how long, given out to its person, erased, and who saw it."""
