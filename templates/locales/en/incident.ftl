letter-incident-subject = Report { $case } was opened: { $site }, { $day }
letter-incident-first = Something happened at { $site } on { $day }. The instructors opened report { $case }.
letter-incident-ambulance = An ambulance was called. Call the site, and tell your insurer at once.
letter-incident-plain = Call the site. Your insurer must hear of it in time; the report says by when.
letter-incident-way = Sign in and open the report:
letter-incident-last = This letter names nobody and nothing that happened. Please do not write about it by e-mail.
