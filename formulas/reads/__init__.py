"""What the pages of this app show, one file for each noun."""
