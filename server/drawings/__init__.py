"""Drawings of the cabinet in SVG, to scale, from the project's real numbers: one module a drawing.

`plate.Plate` is the paper and the pens, `shapes` the geometry, `patterns` the hatches. Each drawing is a
function from plain records to a `plate.Drawing`. Colours, weights and dashes are the classes of app.css.
"""
