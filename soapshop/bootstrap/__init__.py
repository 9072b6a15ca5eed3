"""From a bare Python to a running Django: own environment, pinned packages, system libraries. Standard library only."""
