"""Fullness added by slash and spread, and the bust made fuller or smaller."""
