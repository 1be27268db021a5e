"""What a batch leaves for others: tables, a page to read, a document for a build server."""
