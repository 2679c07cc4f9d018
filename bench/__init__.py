"""Ratios of running times, each measured within one run."""
