"""Tests of the drawing: geometry by independent means, labels, the SVG, three hundred random rigs."""
