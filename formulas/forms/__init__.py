"""The shape of what a person types, one file for each noun."""
