"""Takes as sound: what a recording of an organ tells, and no more than that."""
