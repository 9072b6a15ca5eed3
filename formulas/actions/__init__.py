"""The verbs of this app, one file for each noun a person works on."""
