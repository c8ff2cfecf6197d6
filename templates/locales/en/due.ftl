# What is due, on a family's first page.
due-title = Due today
due-family-off = Called off
due-family-next = Your children's next sessions
due-family-certificates = Certificates that are ready
due-family-nothing = Nothing is due today.
due-family-nothing-next = { $name }'s next session is on { $day }. Everything for it is here.
due-family-none = No session is coming up for your children. Look for one near home.
due-family-missing = something is missing
due-family-whole = everything is here
due-family-consent = The consent for { $name } is not signed. Call the office, or sign it with the staff on the day.
due-family-proof-needed = Proof of { $part } is still missing. Nobody starts before the staff have seen it.
due-family-proof = Nobody has seen proof of { $part } yet. Bring it along.
due-family-adult = Only you may take { $name } home. Come yourself on the day.
due-family-adults = On the day, { $name } goes home with you or with: { $adults }.
due-family-certificate = { $name }, { $day }
due-family-ready = ready
due-family-note = All registrations and certificates of your children stand under My registrations.
