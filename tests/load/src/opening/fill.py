"""Writes families that are signed in: an account, an adult, a child and a sign-in each. Arguments: the database, how many."""

import datetime
import hashlib
import sqlite3
import sys

LETTERS = "bcdfghjkmnpqrstvwxyz"
NOW = datetime.datetime.now(datetime.timezone.utc).replace(tzinfo=None)


def stamp(moment):
    return moment.isoformat(sep=" ", timespec="microseconds")


def reference(kind, number):
    """A reference of thirteen letters that no other row has: the kind, then the number."""
    text = ""
    for _ in range(12):
        number, digit = divmod(number, len(LETTERS))
        text = LETTERS[digit] + text
    return kind + text


def word(number):
    """The number in letters, because names have no digits."""
    return "".join(chr(ord("a") + int(digit)) for digit in str(number))


base = sqlite3.connect(sys.argv[1], timeout=30)
base.execute("PRAGMA foreign_keys = ON")
now, end = stamp(NOW), stamp(NOW + datetime.timedelta(hours=12))
first = {table: base.execute(f"SELECT COALESCE(MAX(id), 0) + 1 FROM {table}").fetchone()[0] for table in ("accounts", "guardians", "riders")}
for number in range(int(sys.argv[2])):
    account, guardian, rider = (first[table] + number for table in ("accounts", "guardians", "riders"))
    # The day that the family's form says.
    born = f"2014-{number % 12 + 1:02}-{number // 12 % 28 + 1:02}"
    name, mailbox = f"Fam{word(number)}", f"pat.{word(number)}@example.org"
    base.execute(
        "INSERT INTO accounts (id, reference, sign_in_name, email, email_confirmed_at, given_name, family_name, language, created_at) "
        "VALUES (?, ?, ?, ?, ?, 'Pat', ?, 'en', ?)", (account, reference("z", number), mailbox, mailbox, now, name, now))
    base.execute("INSERT INTO account_roles (account_id, role) VALUES (?, 'guardian')", (account,))
    base.execute(
        "INSERT INTO guardians (id, account_id, given_name, family_name, phone, email, language, created_at) "
        "VALUES (?, ?, 'Pat', ?, ?, ?, 'en', ?)", (guardian, account, name, f"+1406{200 + number // 10_000:03}{number % 10_000:04}", mailbox, now))
    base.execute(
        "INSERT INTO riders (id, reference, report_key, given_name, family_name, birth_date, county_set, county, created_at) "
        "SELECT ?, ?, ?, ?, ?, ?, MAX(county_set), '30049', ? FROM counties WHERE fips = '30049'",
        (rider, reference("x", number), f"opening {number}", f"Kid{word(number)}", name, born, now))
    base.execute("INSERT INTO guardianships (guardian_id, rider_id, state, since) VALUES (?, ?, 'active', ?)", (guardian, rider, now))
    token = hashlib.sha256(f"token {number}".encode()).hexdigest()
    base.execute(
        "INSERT INTO sign_ins (account_id, token_hash, device, created_at, last_seen, ends_at, way, awaits_code, second_step) "
        "VALUES (?, ?, 'Firefox', ?, ?, ?, 'password', FALSE, FALSE)", (account, hashlib.sha256(token.encode()).digest(), now, now, end))
    print(token)
base.commit()
