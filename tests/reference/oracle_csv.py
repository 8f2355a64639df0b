"""Reads CSV texts with Python's csv module. Prints, for each, its rows."""

import csv
import io
import json
import sys

with open(sys.argv[1], encoding="utf-8") as file:
    texts = json.load(file)
rows = [list(csv.reader(io.StringIO(text, newline=""), strict=True)) for text in texts]
json.dump(rows, sys.stdout)
