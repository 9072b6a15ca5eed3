"""The verbs of the bench, one file for each stretch of the work."""
