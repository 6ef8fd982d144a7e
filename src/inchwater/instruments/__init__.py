"""The place of live readings: transports, and when a reading is steady; empty so far."""
