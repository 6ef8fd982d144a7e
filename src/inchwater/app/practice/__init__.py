"""Practice rounds on invented houses: kept for each person, played on pages."""
