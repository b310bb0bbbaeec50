"""Prints the text of a web page as Python's html.parser reads it; ends with 1 where an element is closed that is not open."""
import sys
from html.parser import HTMLParser

VOID = {"meta", "img", "input", "br", "hr", "link"}


class Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.open = []
        self.text = []

    def handle_starttag(self, tag, attrs):
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open[-1] != tag:
            sys.exit(f"</{tag}> closes {self.open[-1:]}")
        self.open.pop()

    def handle_data(self, data):
        if "style" not in self.open:
            self.text.append(data)


reader = Reader()
with open(sys.argv[1], encoding="utf-8") as page:
    reader.feed(page.read())
reader.close()
if reader.open:
    sys.exit(f"never closed: {reader.open}")
print(" ".join(reader.text))
