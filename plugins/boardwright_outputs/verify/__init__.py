"""`boardwright verify`: a finished pack proves itself, from its files alone.

Nothing here imports the vocabulary, the stages or the outputs that wrote the files (only the rule that turns
an id into a file name): what is proved is what lies on the disk.
"""
