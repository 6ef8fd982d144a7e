"""What every row and every page shares: the firm-bound base row and the words of an error."""
