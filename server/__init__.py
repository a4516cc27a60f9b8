"""The web side of the workbench: documents in, pages, drawings and JSON out."""
