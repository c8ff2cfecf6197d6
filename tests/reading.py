"""How hard the pages of families are to read: English grade and Spanish ease of every page that the browser saved.

Bar: English Flesch-Kincaid at most 8 a page and 6 in the middle; Spanish Fernandez-Huerta at least 70.
The measures are those of PyPI textstat; names and addresses in lists are left out, because nobody can make them plain.
"""

import pathlib
import re
import statistics
import sys

import textstat

MOST_GRADE, MOST_MIDDLE, LEAST_EASE, LEAST_WORDS = 8.0, 6.0, 70.0, 40


def sentences(text):
    """Lines that say something: each ends a sentence, and those without a verb's worth of words are labels."""
    for line in text.splitlines():
        line = re.sub(r"\s+", " ", line).strip()
        if len(line.split()) >= 4:
            yield line if line[-1] in ".!?:" else line + "."


def measure(lang, text):
    textstat.set_lang(lang)
    return textstat.flesch_kincaid_grade(text) if lang == "en" else textstat.fernandez_huerta(text)


def main(folder):
    grades, faults, seen = [], [], 0
    for path in sorted(pathlib.Path(folder).glob("*/*.txt")):
        lang, text = path.parent.name, " ".join(sentences(path.read_text()))
        if len(text.split()) < LEAST_WORDS:
            continue
        seen += 1
        value = measure(lang, text)
        bad = value > MOST_GRADE if lang == "en" else value < LEAST_EASE
        if lang == "en":
            grades.append(value)
        print(f"{'FAILED' if bad else 'ok    '} {lang} {value:6.1f} {path.stem}")
        if bad:
            faults.append(path)
    middle = statistics.median(grades) if grades else 0
    print(f"{seen} pages, English middle {middle:.1f}")
    return 1 if faults or not seen or middle > MOST_MIDDLE else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
