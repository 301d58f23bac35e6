"""What a screen is drawn with: lines of text in inks, bars, and drawings to scale. Nothing here knows Textual.

`inks.py` holds lines, `glyphs.py` the signs they are made of, `bars.py` what is one row high, `canvas.py` and
`to_scale.py` drawings in millimetres, `week_chart.py` the week. `palette.py` alone says which colour an ink has.
"""
