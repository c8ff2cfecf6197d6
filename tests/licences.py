"""Whether every crate that is built may be used, from `cargo metadata` on standard input.

Knows an allow-list and the grammar of SPDX licence expressions; it asks no network and judges no text of a licence.
`--prove` shows first that a crate with a licence off the list is found.
"""

import json
import re
import sys

ALLOWED = {
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "PostgreSQL",
    "Unicode-3.0",
    "Zlib",
}


def allowed(expression):
    """Whether an SPDX expression can be met with licences of the list: one side of OR, both sides of AND."""
    words = re.findall(r"[()]|[^\s()]+", (expression or "").replace("/", " OR "))

    def either():
        good = both()
        while words[:1] == ["OR"]:
            words.pop(0)
            good = both() or good
        return good

    def both():
        good = one()
        while words[:1] == ["AND"]:
            words.pop(0)
            good = one() and good
        return good

    def one():
        if not words:
            return False
        word = words.pop(0)
        if word == "(":
            good = either()
            return words[:1] == [")"] and bool(words.pop(0)) and good
        if words[:1] == ["WITH"]:
            word = " ".join([word, words.pop(0), words.pop(0) if words else ""])
        return word in ALLOWED

    return either() and not words


def refused(metadata):
    """Name, version and licence of each package that is not allowed."""
    packages = [(p["name"], p["version"], p.get("license")) for p in metadata["packages"]]
    return [package for package in packages if not allowed(package[2])]


def prove():
    """Plants crates with good and bad licences and fails unless exactly the bad ones are found."""
    good = ["MIT", "MIT OR GPL-3.0-only", "MIT/Apache-2.0", "(MIT OR GPL-2.0) AND ISC", "Apache-2.0 WITH LLVM-exception"]
    bad = ["GPL-3.0-or-later", "MIT AND MPL-2.0", "(MIT OR ISC) AND AGPL-3.0-only", "GPL-2.0 WITH LLVM-exception",
           "MIT MIT", "(MIT", "", None]
    planted = [{"name": "planted", "version": "1.0.0", "license": text} for text in good + bad]
    found = [package[2] for package in refused({"packages": planted})]
    if found != bad:
        sys.exit(f"planted {bad}, found {found}")
    print(f"{len(bad)} planted licences found")


def main():
    if sys.argv[1:] == ["--prove"]:
        return prove()
    metadata = json.load(sys.stdin)
    bad = refused(metadata)
    for name, version, licence in bad:
        print(f"{name} {version}: {licence or 'no licence named'} is not on the list")
    print(f"{len(metadata['packages'])} packages, {len(bad)} refused")
    sys.exit(1 if bad else 0)


main()
