"""All figures of `make bench`: ratios within one run, since a machine's seconds say little."""

from bench import grouping, readiness, sheet

for part in (readiness, grouping, sheet):
    print(f"\n{part.__doc__.splitlines()[0]}")
    part.main()
