"""Cut sheets at true size: templates, pieces packed on sheets, and a strip to place them by."""
