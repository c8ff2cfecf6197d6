"""A mail server that keeps every letter it takes and tells of each in a line of JSON, before it answers.

    relay.py FOLDER PORT

What it reads changes its manner: `take` answers, `defer` puts letters with a calendar file off, `hold` keeps them and
never answers. Manners are confirmed by a line of JSON too.
"""
import asyncio
import email
import itertools
import json
import pathlib
import sys

import icalendar
from aiosmtpd.smtp import SMTP

folder, port = pathlib.Path(sys.argv[1]), int(sys.argv[2])
numbers = itertools.count()
manner = "take"


def tell(**what):
    print(json.dumps(what), flush=True)


def entries(letter):
    """UID and SEQUENCE of every calendar entry, as another program reads them."""
    for part in letter.walk():
        if part.get_content_type() == "text/calendar":
            calendar = icalendar.Calendar.from_ical(part.get_payload(decode=True))
            for event in calendar.walk("VEVENT"):
                yield [str(event["UID"]), int(event["SEQUENCE"])]


class Keeper:
    async def handle_DATA(self, server, session, envelope):
        letter = email.message_from_bytes(envelope.original_content)
        found = sorted(entries(letter))
        if manner == "defer" and found:
            return "451 4.3.2 not now"
        name = f"{next(numbers):06}.eml"
        (folder / f".{name}").write_bytes(envelope.original_content)
        (folder / f".{name}").rename(folder / name)
        is_held = manner == "hold" and bool(found)
        tell(id=letter["Message-ID"].strip().strip("<>"), entries=found)
        if is_held:
            await asyncio.sleep(1_000_000)
        return "250 taken"


async def main():
    global manner
    loop = asyncio.get_running_loop()
    typed = asyncio.StreamReader()
    await loop.connect_read_pipe(lambda: asyncio.StreamReaderProtocol(typed), sys.stdin)
    server = await loop.create_server(lambda: SMTP(Keeper(), hostname="relay.example"), "127.0.0.1", port)
    tell(manner=manner)
    async with server:
        async for line in typed:
            manner = line.decode().strip()
            tell(manner=manner)


asyncio.run(main())
