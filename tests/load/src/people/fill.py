"""Fills a demonstration with families of a decade. Arguments: the database, how many families, each of one adult and two
children, each child with one session long past: a closed one of the demonstration, copied with what belongs to it."""

import datetime
import sqlite3
import sys

LETTERS = "bcdfghjkmnpqrstvwxyz"
GIVEN = ["Ada", "Bo", "Cleo", "Dag", "Eli", "Fay", "Gus", "Hope", "Ida", "Jo", "Kai", "Lu", "Mia", "Ned", "Ona", "Per", "Quin", "Ro", "Sia", "Tor"]
SYLLABLES = ["ar", "bel", "cor", "dan", "el", "far", "gol", "han", "is", "jor", "kel", "lin", "mor", "nes", "or", "pal", "ros", "sol", "tan", "vik"]
SEATS = 12
# For so long people to call and measures are kept, unless the program says otherwise.
CONTACT_DAYS = 400


def reference(kind, number):
    text = ""
    for _ in range(12):
        number, digit = divmod(number, len(LETTERS))
        text = LETTERS[digit] + text
    return kind + text


def surname(number):
    text = ""
    for _ in range(4):
        number, digit = divmod(number, len(SYLLABLES))
        text = SYLLABLES[digit] + text
    return text.capitalize()


base = sqlite3.connect(sys.argv[1], timeout=60)
base.row_factory = sqlite3.Row
base.execute("PRAGMA foreign_keys = ON")


def rows(table, where, *values):
    return [dict(row) for row in base.execute(f"SELECT * FROM {table} WHERE {where}", values)]


def add(table, row):
    row = {name: value for name, value in row.items() if name != "id"}
    marks = ", ".join("?" for _ in row)
    return base.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values())).lastrowid


families = int(sys.argv[2])
now = datetime.datetime.now(datetime.timezone.utc).replace(tzinfo=None)
stamp = now.isoformat(sep=" ", timespec="microseconds")
county_set, = base.execute("SELECT county_set FROM programs").fetchone()
state, = base.execute("SELECT state_fips FROM programs").fetchone()
counties = [fips for fips, in base.execute("SELECT fips FROM counties WHERE county_set = ? AND fips LIKE ? ORDER BY fips", (county_set, state + "%"))]
old = rows("sessions", "state = 'closed' ORDER BY id LIMIT 1")[0]
parts = {table: rows(table, "session_id = ?", old["id"]) for table in ("meetings", "session_staff", "session_facts")}
place = rows("registrations", "reference = (SELECT registration_ref FROM rider_facts WHERE session_id = ? AND completed = 1 ORDER BY id LIMIT 1)", old["id"])[0]
of_place = {table: rows(table, "registration_id = ?", place["id"]) for table in ("contacts", "consents", "measures", "place_changes")}
fact = rows("rider_facts", "registration_ref = ?", place["reference"])[0]
sessions = []
count = -(-2 * families // SEATS)
for number in range(count):
    day = now.date() - datetime.timedelta(days=60 + number * 2900 // count)
    at = f"{day} 15:00:00.000000"
    session = add("sessions", {**old, "reference": reference("z", number), "held_on": str(day), "last_on": str(day), "closed_at": at,
                               "created_at": at, "capacity": SEATS, "seats_taken": SEATS, "waiting": 0})
    for table, copies in parts.items():
        for row in copies:
            moved = {**row, "session_id": session}
            for name in row:
                if name in ("held_on",):
                    moved[name] = str(day)
                if name == "local_start":
                    moved[name] = str(day) + row[name][10:]
                if name == "starts_at":
                    moved[name] = at
            add(table, moved)
    sessions.append((session, day, at))
for number in range(families):
    name = surname(number * 7919 % 160_000)
    account = add("accounts", {"reference": reference("y", number), "sign_in_name": f"pat{number}@example.org", "email": f"pat{number}@example.org",
                               "email_confirmed_at": stamp, "given_name": GIVEN[number % 20], "family_name": name, "language": "en", "created_at": stamp})
    base.execute("INSERT INTO account_roles (account_id, role) VALUES (?, 'guardian')", (account,))
    guardian = add("guardians", {"account_id": account, "given_name": GIVEN[number % 20], "family_name": name, "phone": f"406{number % 10_000_000:07}",
                                 "email": f"pat{number}@example.org", "language": "en", "created_at": stamp})
    for child in range(2):
        at_all = 2 * number + child
        session, day, at = sessions[at_all // SEATS]
        born = datetime.date(day.year - 9, at_all % 12 + 1, at_all % 28 + 1)
        county = counties[at_all % len(counties)]
        key = f"people {at_all}"
        rider = add("riders", {"reference": reference("x", at_all), "report_key": key, "given_name": GIVEN[(number + 7 * child + 3) % 20],
                               "family_name": name, "birth_date": str(born), "county_set": county_set, "county": county, "created_at": at})
        base.execute("INSERT INTO guardianships (guardian_id, rider_id, state, since) VALUES (?, ?, 'active', ?)", (guardian, rider, at))
        own = reference("w", at_all)
        registration = add("registrations", {**place, "reference": own, "session_id": session, "rider_id": rider, "guardian_id": guardian, "created_at": at})
        for table, copies in of_place.items():
            # What the nights have removed since is not here any more.
            if table in ("contacts", "measures") and day < now.date() - datetime.timedelta(days=CONTACT_DAYS):
                continue
            for row in copies:
                moved = {**row, "registration_id": registration}
                if "rider_id" in row:
                    moved["rider_id"] = rider
                if "guardian_id" in row:
                    moved["guardian_id"] = guardian
                add(table, moved)
        add("rider_facts", {**fact, "session_id": session, "registration_ref": own, "rider_key": key, "held_on": str(day), "home_county": county, "helmets": 0, "grant_id": None})
base.commit()
people, = base.execute("SELECT (SELECT COUNT(*) FROM guardians) + (SELECT COUNT(*) FROM riders)").fetchone()
print(people)
