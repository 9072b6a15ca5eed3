"""The pages of this app, one file for each noun."""
