"""Phones and shed under a storm of faults, from a seed: ``python -m tests.faults --runs 300 --seed 1``."""
