"""What may become of a project: how sure its numbers are."""
