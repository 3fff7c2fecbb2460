"""Speed measurements, printed as figures and ratios: python -m tests.bench.NAME."""
