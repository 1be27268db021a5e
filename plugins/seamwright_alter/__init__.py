"""Alterations of the sleeve: its width at the bicep line, its cap's height."""
