"""The parts of a forced-air system, one module a family: what each does to the air's pressure.

Every function takes and gives SI and broadcasts over arrays; the coefficients stand in
``data/*.csv``, each with its source, its place in the source and its status.
"""
