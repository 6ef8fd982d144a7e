"""Template filters that print quantities and sentences in the reader's units."""
