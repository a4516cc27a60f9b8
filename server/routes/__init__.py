"""One module for each page, and two for the JSON interface: load, ask calc, render."""
