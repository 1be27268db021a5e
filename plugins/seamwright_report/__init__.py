"""Reports: what a run found and did, as a page to read, as JSON, and as plain text."""
