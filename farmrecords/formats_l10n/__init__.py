"""How numbers and days are written in each language of the pages."""
