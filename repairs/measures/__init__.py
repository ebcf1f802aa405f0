"""Benchmarks as ratios: what the house does, against the least that such work can cost.

Nothing is imported here: the measured child processes live in this package and must pay only for
what they use themselves.
"""
