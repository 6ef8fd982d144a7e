"""Work on a visit: the accepted option step by step, with or without signal."""
