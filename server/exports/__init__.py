"""Files that leave the workbench: for machines (DXF, SVG), for paper (PDF), for lists (CSV)."""
