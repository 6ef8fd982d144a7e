"""The words of the visit's page as tables: fields and their choices."""
