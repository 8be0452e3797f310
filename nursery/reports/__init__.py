"""Questions that pages ask. Typed answers, a fixed number of queries each, no HTTP and no HTML."""
