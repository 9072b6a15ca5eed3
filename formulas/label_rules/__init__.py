"""What a label must say and how large, market by market. The facts are dated rows in tables/, each with its source."""
