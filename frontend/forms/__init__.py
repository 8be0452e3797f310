"""Forms of the shed. Each error names the field and the mend."""
