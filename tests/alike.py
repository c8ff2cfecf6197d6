"""S09: an address that is known, unknown, not yet shown or shut gets the same answer in the same time: when signing in with
a wrong password, when asking for a link, and on the last two steps of a registration.

    tests/alike.py --binary target/release/waymark [--samples 200]

The samples of all four kinds take turns, each from a network address of its own (127.0.x.y). What is compared is the
middle time of each kind; a gap is told in parts of the time that one password hash takes here, measured in the same run
as signing in less a page. The bar is a twentieth; the run fails beyond twice that, and at any difference of status or
words. First the judge itself must find a difference that is planted. The last line is `N passed, N failed`.
"""

import argparse
import http.client
import pathlib
import random
import re
import socket
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import os

KINDS = ("known", "unknown", "unshown", "shut")
PASSWORD = "nine pines on the ridge"
BAR = 0.05
FAILS_AT = 2 * BAR
# Five letters a mailbox and ten wrong tries an account in a quarter of an hour: so many accounts take turns.
TRIES = 5


def judge(times, hash_seconds):
    """The greatest gap between the kinds' middle times, in hashes."""
    middles = [statistics.median(times[kind]) for kind in times]
    return (max(middles) - min(middles)) / hash_seconds


def prove():
    """The judge sees one kind that is slower by a fifth of a hash, and nothing where there is nothing."""
    chance = random.Random(9)
    noise = lambda extra: [0.05 + extra + chance.gauss(0, 0.004) for _ in range(200)]
    alike = {kind: noise(0) for kind in KINDS}
    assert judge(alike, 0.05) < BAR, "noise alone is taken for a difference"
    assert judge(alike | {"known": noise(0.01)}, 0.05) > FAILS_AT, "a planted difference is not seen"
    print("planted: a fifth of a hash is seen")


class Browser:
    """Cookies, forms, one network address."""

    def __init__(self, port, number):
        self.port, self.cookies = port, {}
        self.source = f"127.0.{number // 250 + 1}.{number % 250 + 1}"

    def ask(self, verb, path, fields=None):
        """Status, where it leads, words, and seconds from the first byte sent to the last one read."""
        body = urllib.parse.urlencode(fields).encode() if fields is not None else None
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()), "Sec-Fetch-Site": "same-origin"}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60, source_address=(self.source, 0))
        link.connect()
        began = time.perf_counter()
        link.request(verb, path, body, headers)
        reply = link.getresponse()
        text = reply.read().decode()
        took = time.perf_counter() - began
        for cookie in reply.headers.get_all("Set-Cookie") or []:
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        link.close()
        self.page = text
        return reply.status, reply.headers.get("Location", ""), text, took

    def field(self, name):
        found = re.search(rf'name="{name}" value="([^"]*)"', self.page)
        return found[1] if found else ""

    def send(self, path, fields):
        """Sends the form of the page that was read last."""
        return self.ask("POST", path, [("form_token", self.field("form_token")), *fields])


def plain(text, email, *others):
    """The words of a page without what is drawn anew for each visitor."""
    for one in (email, *others):
        text = text.replace(one, "X") if one else text
    text = re.sub(r'name="(form_token|key)" value="[^"]*"', "", text)
    return re.sub(r"\s+", " ", text)


class Ask:
    """One question that is put to every kind."""

    def __init__(self, name):
        self.name, self.times, self.answers = name, {kind: [] for kind in KINDS}, {kind: set() for kind in KINDS}

    def note(self, kind, status, words, took):
        self.times[kind].append(took)
        self.answers[kind].add((status, words))


def sign_in(port, number, kind, email, ask):
    browser = Browser(port, number)
    browser.ask("GET", "/sign-in")
    status, way, words, took = browser.send("/sign-in", [("email", email), ("password", "wrong horse on the ridge")])
    ask.note(kind, (status, way), plain(words, email), took)


def link(port, number, kind, email, ask):
    browser = Browser(port, number)
    browser.ask("GET", "/sign-in/link")
    status, way, words, took = browser.send("/sign-in/link", [("email", email)])
    ask.note(kind, (status, way), plain(words, email), took)


def register(port, number, kind, email, session, adults, check):
    browser, steps = Browser(port, number), f"{session}/register"
    answers = {
        "rider": [("given", "Otto"), ("family", "Brandt"), ("birth_month", "3"), ("birth_day", "14"),
                  ("birth_year", str(time.gmtime().tm_year - 12)), ("county", "30063"), ("ridden", "never")],
        "health": [("any", "no"), ("injector", "no"), ("medicine", "no")],
        "adults": [("given", "Ruth"), ("family", "Brandt"), ("phone", "406 555 0177"), ("email", email), ("password", PASSWORD),
                   ("first_name", "Ida"), ("first_phone", "406 555 0178"), ("second_name", "Lew"), ("second_phone", "406 555 0179")],
        "sizes": [("units", "us"), ("height", "4 ft 10"), ("weight", "84"), ("inseam", "27"), ("head_unknown", "yes")],
        "questions": [],
    }
    for step, fields in answers.items():
        browser.ask("GET", f"{steps}/{step}")
        status, way, words, took = browser.send(f"{steps}/{step}", fields)
        assert status == 303, f"{step}: {status} {words[:400]}"
        if step == "adults":
            adults.note(kind, (status, way), plain(words, email), took)
    browser.ask("GET", f"{steps}/check")
    fields = [(name, browser.field(name)) for name in ("key", "ride_hash", "photo_hash")]
    fields += [(name, "yes") for name in re.findall(r'name="(ride-[^"]+)"', browser.page)]
    fields += [("signature", "Ruth Brandt")] + ([("proof", "done")] if 'name="proof"' in browser.page else [])
    status, way, words, took = browser.send(f"{steps}/check", fields)
    assert status == 303, f"check: {status} {re.sub('<[^>]*>', ' ', words)[:600]}"
    receipt = browser.ask("GET", way)[2]
    reference = way.rsplit("/", 1)[1]
    # Each kind has as many families before it; the number itself is no secret and differs by turn.
    receipt = re.sub(r"(Place|place) \d+", "place", plain(receipt, email, reference))
    check.note(kind, (status, way.replace(reference, "X")), re.sub(r"\d+:\d\d [AP]M", "time", receipt), took)


def fill(port, session):
    """Families until the session is full, so that all that are measured join the line. Gives how many came."""
    for number in range(1, 60):
        adults, check = Ask("adults"), Ask("register")
        register(port, number, "unknown", f"first{number}@example.org", session, adults, check)
        if any("waitlist" in words for _, words in check.answers["unknown"]):
            return number
    raise SystemExit("the session does not fill")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Service:
    """`demo` on a folder, with limits so wide that the measure does not meet them."""

    def __init__(self, binary, folder):
        self.port = free_port()
        wide = {f"WAYMARK_RATES_{kind}_{number}": "1000000" for kind in ("PAGE", "SIGN_IN", "REGISTER") for number in ("PER_MINUTE", "BURST")}
        self.child = subprocess.Popen([binary, "demo", "--listen", f"127.0.0.1:{self.port}", "--data", folder],
                                      stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=os.environ | wide)
        for _ in range(600):
            try:
                if Browser(self.port, 0).ask("GET", "/health/ready")[0] == 200:
                    return
            except OSError:
                pass
            time.sleep(0.1)
        raise SystemExit("the service did not become ready")

    def stop(self):
        self.child.terminate()
        self.child.wait()


def furnish(binary, folder, many):
    """Accounts of each kind in the stopped service's database, all with one true hash."""
    secret = folder / "password"
    secret.write_text(PASSWORD + "\n")
    secret.chmod(0o600)
    subprocess.run([binary, "staff", "add", "--data", folder, "--email", "model@example.org", "--given", "Model", "--family", "Person",
                    "--phone", "406-555-0142", "--role", "coordinator", "--password-file", secret], check=True, capture_output=True)
    with sqlite3.connect(folder / "waymark.sqlite") as store:
        [hashed] = store.execute("select password_hash from accounts where email = 'model@example.org'").fetchone()
        for kind in ("known", "unshown", "shut"):
            for number in range(many):
                email = f"{kind}{number}@example.org"
                name = email if kind != "unshown" else f"unshown {email}"
                store.execute(
                    "insert into accounts (reference, sign_in_name, email, password_hash, given_name, family_name, language, created_at, disabled_at) "
                    "values (?, ?, ?, ?, 'Ruth', 'Brandt', 'en', '2026-01-01 00:00:00', ?)",
                    (email, name, email, hashed, "2026-01-01 00:00:00" if kind == "shut" else None))


def main():
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--binary", required=True)
    reader.add_argument("--samples", type=int, default=200)
    given = reader.parse_args()
    prove()
    binary, many = str(pathlib.Path(given.binary).resolve()), given.samples // TRIES + 1
    asks = {name: Ask(name) for name in ("sign in", "ask for a link", "adults", "register")}
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        service = Service(binary, folder)
        service.stop()
        furnish(binary, folder, many)
        service = Service(binary, folder)
        try:
            visitor = Browser(service.port, 0)
            visitor.ask("GET", "/sessions?age=12")
            session = re.findall(r'href="(/sessions/[0-9a-z]{13})"', visitor.page)[-1]
            pages, number = [], fill(service.port, session)
            for sample in range(given.samples):
                kinds = random.sample(KINDS, len(KINDS))
                for kind in kinds:
                    number += 1
                    # Who registers is unknown once.
                    email = f"{kind}{number if kind == 'unknown' else sample % many}@example.org"
                    sign_in(service.port, number, kind, email, asks["sign in"])
                    link(service.port, number, kind, email, asks["ask for a link"])
                    register(service.port, number, kind, email, session, asks["adults"], asks["register"])
                pages.append(Browser(service.port, number).ask("GET", "/sign-in")[3])
        finally:
            service.stop()
    everybody = [took for kind in KINDS for took in asks["sign in"].times[kind]]
    hashed = statistics.median(everybody) - statistics.median(pages)
    print(f"one hash: {hashed * 1000:.1f} ms; {given.samples} samples of each kind")
    passed = failed = 0
    for ask in asks.values():
        told = {kind: f"{statistics.median(ask.times[kind]) * 1000:.1f} ms" for kind in KINDS}
        gap = judge(ask.times, hashed)
        answers = set().union(*ask.answers.values())
        fine = gap <= FAILS_AT and len(answers) == 1
        print(f"{'ok    ' if fine else 'FAILED'} {ask.name}: {told}, gap {gap:.3f} of a hash (bar {BAR}), {len(answers)} kinds of answer")
        if len(answers) > 1:
            for status, words in list(answers)[:3]:
                print("      ", status, re.sub(r"<[^>]*>", " ", words)[:300])
        passed, failed = passed + fine, failed + (not fine)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
