"""What a system is taken to be where nobody has described it, as a table with sources."""
