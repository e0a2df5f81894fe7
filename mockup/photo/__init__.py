"""Photos as measurements: a neutral card in the picture, swatches beside it, finished cups."""
