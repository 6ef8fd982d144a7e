"""The place of noise, capacity, coil freezing, energy and temperature rise; empty so far."""
