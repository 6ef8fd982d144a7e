"""The web application: Django lives here and nowhere else."""
