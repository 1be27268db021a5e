"""Truing: lines made to run on without a jog or a kink."""
