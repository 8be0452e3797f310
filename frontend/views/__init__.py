"""The shed's pages: each asks a report, and shows it."""
