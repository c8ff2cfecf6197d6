"""S36: sqlmap, level 3, on every parameter of every address and on the forms that strangers send, as a coordinator.

    tests/injection.py --binary target/debug/waymark [--database postgres://...]

First it must find a hole that is planted here: a small service whose query is built from its parameter. Then the
program's own pages are crawled; of each address with the same path and the same parameters one is attacked: each
parameter of its query, and each part of its path that names a record. The program may not answer 500 meanwhile.
The last line is `N passed, N failed`, one for each address attacked.
"""

import argparse
import html
import http.cookiejar
import http.server
import os
import pathlib
import re
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.parse
import urllib.request

RECORD = re.compile(r"[0-9a-z]{13}|[0-9A-Z]{22}|\d+")
SKIPPED = ("/static/", "/health/", "/sign-out", "/help")
# What every page takes: attacked once.
EVERYWHERE = ("lang", "scheme")
MOST_PAGES = 400


class Leaky(http.server.BaseHTTPRequestHandler):
    """The planted hole."""

    def do_GET(self):
        asked = urllib.parse.parse_qs(urllib.parse.urlsplit(self.path).query).get("county", [""])[0]
        base = sqlite3.connect(":memory:")
        base.execute("create table sites (name text, county text)")
        base.execute("insert into sites values ('Alder Flat', '30063')")
        try:
            rows = base.execute(f"select name from sites where county = '{asked}'").fetchall()
            body, status = f"<p>{len(rows)} sites {rows}</p>", 200
        except sqlite3.Error as error:
            body, status = f"<p>{error}</p>", 500
        self.send_response(status)
        self.end_headers()
        self.wfile.write(body.encode())

    def log_message(self, *_):
        pass


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def sqlmap(address, engine, folder, cookie=None, data=None, csrf=None):
    """What sqlmap found at one address: None, or its own words."""
    call = [pathlib.Path(sys.executable).with_name("sqlmap"), "-u", address, "--batch", "--level=3", "--risk=1", "--technique=BEUS",
            f"--dbms={engine}", "--flush-session", "--disable-coloring", "--skip=user-agent,referer,host,cookie", "--param-exclude=^form_token$",
            "--ignore-code=*", "--answers=follow=N,redirect=N",
            f"--output-dir={folder}/sqlmap", "--timeout=10", "--retries=0"]
    call += ["--cookie", cookie] if cookie else []
    call += ["--data", data, "--csrf-token=form_token", "--csrf-url", csrf] if data else []
    done = subprocess.run(call, capture_output=True, text=True, timeout=560, check=False)
    said = done.stdout
    if "is vulnerable" in said or "injectable with" in said or "the following injection point" in said:
        return re.sub(r"\s+", " ", said.partition("injection point")[2])[:300] or "vulnerable"
    if "do not appear to be injectable" not in said:
        return "sqlmap did not come to an end: " + said.strip()[-400:]
    return None


class Visit:
    """One signed-in browser without scripts."""

    def __init__(self, origin, role):
        self.origin, self.jar = origin, http.cookiejar.CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))
        page = self.get("/sign-in")
        token = re.search(r'name="form_token" value="([^"]*)"', page)[1]
        form = urllib.parse.urlencode({"form_token": token, "role": role}).encode()
        request = urllib.request.Request(origin + "/sign-in/demo", form, {"Sec-Fetch-Site": "same-origin"})
        self.opener.open(request).read()

    def get(self, path):
        try:
            with self.opener.open(self.origin + path) as answer:
                kind = answer.headers.get_content_type()
                return answer.read().decode() if kind == "text/html" else ""
        except urllib.error.HTTPError as error:
            return error.read().decode(errors="replace")

    def cookie(self):
        return "; ".join(f"{one.name}={one.value}" for one in self.jar)

    def addresses(self):
        """One address of each shape: a path with records left out, and the names in its query."""
        queue, seen, shapes = ["/"], {"/"}, {}
        while queue and len(seen) < MOST_PAGES:
            path = queue.pop(0)
            page = self.get(path)
            found = [html.unescape(link) for link in re.findall(r'href="(/[^"#]*)', page)]
            for form in re.findall(r'<form[^>]*method="get".*?</form>', page, re.S):
                action = html.unescape(re.search(r'action="([^"]*)"', form)[1])
                names = dict.fromkeys(re.findall(r' name="([^"]+)"', form), "1")
                found.append(action + "?" + urllib.parse.urlencode(names))
            for link in found:
                shape = self.shape(link)
                if link.startswith(SKIPPED) or link in seen:
                    continue
                if shape not in shapes or len([one for one in seen if self.shape(one) == shape]) < 3:
                    seen.add(link)
                    queue.append(link)
                shapes.setdefault(shape, link)
        return [link for _, link in sorted(shapes.items())]

    @staticmethod
    def shape(link):
        path, _, query = link.partition("?")
        parts = ["*" if RECORD.fullmatch(part) else part for part in path.split("/")]
        names = {name for name, _ in urllib.parse.parse_qsl(query, True)} - set(EVERYWHERE)
        return "/".join(parts) + "?" + ",".join(sorted(names))


def marked(link):
    """Each part of the path that names a record takes sqlmap's mark; the query's names are attacked by themselves."""
    path, _, query = link.partition("?")
    parts = [part + "*" if RECORD.fullmatch(part) else part for part in path.split("/")]
    if query:
        pairs = [(name, value or "1") for name, value in urllib.parse.parse_qsl(query, True) if name not in EVERYWHERE]
        # With a mark in the path sqlmap looks at marks alone.
        mark = "*" if "*" in "".join(parts) else ""
        query = "&".join(f"{name}={urllib.parse.quote(value)}{mark}" for name, value in pairs)
    return "/".join(parts) + ("?" + query if query else "")


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--binary", required=True)
    options.add_argument("--database")
    options = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        leaky = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Leaky)
        threading.Thread(target=leaky.serve_forever, daemon=True).start()
        planted = sqlmap(f"http://127.0.0.1:{leaky.server_port}/sites?county=30063", "sqlite", folder)
        leaky.shutdown()
        if planted is None or "did not come to an end" in planted:
            print(f"the planted hole was not found: {planted}\n0 passed, 1 failed")
            return 1
        print("the planted hole was found")
        return attack(options, folder)


def attack(options, folder):
    port = free_port()
    origin, log = f"http://localhost:{port}", pathlib.Path(folder, "log")
    place = ["--database", options.database] if options.database else []
    for kind in ("PAGE", "SIGN_IN", "REGISTER", "CERTIFICATE_CHECK", "EXPORT", "FIELD"):
        for number in ("PER_MINUTE", "BURST"):
            os.environ[f"WAYMARK_RATES_{kind}_{number}"] = "1000000"
    engine = "postgresql" if options.database else "sqlite"
    call = [options.binary, "demo", "--listen", f"127.0.0.1:{port}", "--data", f"{folder}/data", *place]
    passed = failed = 0
    with open(log, "w", encoding="utf-8") as out, subprocess.Popen(call, stdout=out, stderr=out) as service:
        try:
            for _ in range(600):
                try:
                    urllib.request.urlopen(origin + "/health/ready").read()
                    break
                except OSError:
                    time.sleep(0.1)
            visit = Visit(origin, "coordinator")
            paths = [path for path in map(marked, visit.addresses()) if "?" in path or "*" in path]
            paths += ["/sign-in?next=%2F&lang=en&scheme=light"]
            wanted = [(path, visit.cookie(), None, None) for path in paths]
            wanted += [
                ("/sign-in", None, "form_token=x&email=ana%40example.org&password=correct+horse", "/sign-in"),
                ("/certificates", None, "form_token=x&code=1ZNS53QTE54KFFG12RAJ11", "/certificates"),
            ]
            for path, cookie, data, csrf in wanted:
                began = time.monotonic()
                found = sqlmap(origin + path, engine, folder, cookie, data, csrf and origin + csrf)
                print(f"{'FAILED' if found else 'ok    '} {time.monotonic() - began:5.0f} s  {path} {found or ''}", flush=True)
                passed, failed = passed + (not found), failed + bool(found)
        finally:
            service.terminate()
    broken = [line for line in log.read_text(encoding="utf-8").splitlines() if " 500" in line or "ERROR" in line]
    for line in broken[:10]:
        print("in the log:", line)
    failed += bool(broken)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or passed < 20 else 0


if __name__ == "__main__":
    sys.exit(main())
