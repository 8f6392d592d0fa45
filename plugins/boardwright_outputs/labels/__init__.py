"""Labels: one for each part, to print, cut out and stick on."""
