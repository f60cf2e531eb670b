"""What things cost, as ratios against a reference in the same run. Run with ``make bench``; never part of the tests."""
