"""The pages of the stores, one file for each thing a person works on."""
