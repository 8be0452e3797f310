"""Pure functions over arrays: one call for all trees. numpy and scipy only; no Django, no clock, no input.

Every module lists its symbols, units, shapes and sources. What practice gives and no paper does is a named
constant marked ``no source``: an assumption, to be replaced by the nursery's own data.
"""
