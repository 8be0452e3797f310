"""An invented nursery: a seeded simulator that knows the truth it hides."""
