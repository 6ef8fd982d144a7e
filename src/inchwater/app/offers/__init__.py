"""Priced options: what could be done, at the firm's own rate, and which one was accepted."""
