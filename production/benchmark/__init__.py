"""`manage.py bench`: what pages, papers and the server cost, as ratios to a floor measured in the same run.

Never a test of time: the machine and its neighbors change seconds, but hardly a ratio. It works on a shop of its own.
"""
