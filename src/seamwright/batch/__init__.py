"""Many files, all their sizes: jobs, where they are done, what is kept of them."""
