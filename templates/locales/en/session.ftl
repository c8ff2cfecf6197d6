# Home, the list of sessions, and one session.
home-title = Riding courses for young people
home-lead = A morning or a day with certified instructors. Machines, helmets and gear are lent.
home-next = Next sessions
home-all = See all sessions
home-how = How it works
home-how-1 = Choose a session near home that fits your child's age.
home-how-2 = Register your child. You make an account on the way.
home-how-3 = Come on the day. Your child rides with certified instructors and may earn a certificate.
home-staff = For staff
home-staff-more = Instructors, helpers and the office sign in here.
home-staff-way = Sign in
home-certificate = To see if a certificate is real you need no account.
sessions-title = Riding sessions
sessions-lead = Look for a day that fits. You need no account to look.
sessions-near = Near this county
sessions-within = Within
sessions-miles = { $miles } miles
sessions-near-first = Choose the county to measure from, or set "Within" to "Any"
sessions-not-a-county = Choose a county of the list
sessions-not-a-distance = Choose a distance of the list
sessions-here = Use where I am
sessions-here-private = Your browser picks the county. Where you are never leaves this device.
sessions-here-looking = Looking for where you are. This may take a moment.
sessions-here-chosen = We chose { $county } County. Its middle is nearest to you. Now press "Show sessions".
sessions-here-refused = This device does not tell where you are. Choose your county from the list.
sessions-here-unknown = Where you are could not be found. Choose your county from the list.
sessions-county = County of the session
sessions-age = Rider's age
sessions-language = Language
sessions-month = Month
sessions-month-of = { $month } { $year }
sessions-not-a-month = Choose a month of the list
sessions-with-seats = Only with seats left
sessions-view = Show as
sessions-view-list = List
sessions-view-map = Map
sessions-not-a-view = Choose the list or the map
sessions-sort = In order of
sessions-sort-day = Day
sessions-sort-distance = Distance
sessions-not-an-order = Choose an order: day or distance
sessions-from = Miles count in a straight line from the middle of { $county } County. The road is longer.
session-away = About { $miles } miles away
session-away-under = Under 5 miles away
sessions-map-title = Map of the counties and their sessions
sessions-map-about = The number in a ring counts the sessions of the county. The table below says the same.
sessions-map-about-near = The number in a ring counts the sessions of the county. { $county } County has a thick border. The table below says the same.
sessions-map-county = { $county }: { $sessions }, { $seats }
sessions-map-count =
    { $count ->
        [one] 1 session
       *[other] { $count } sessions
    }
sessions-map-free = Number of sessions, some with seats free
sessions-map-none-free = Number of sessions, no seat free
sessions-map-near = The county you chose
sessions-map-source = Shapes: United States Census Bureau, made simpler. Not for measuring.
sessions-table = By county
sessions-table-county = County
sessions-table-sessions = Sessions
sessions-table-seats = Seats free
sessions-table-total = Total
sessions-note-files = This list for other programs:
sessions-calendar = calendar file
sessions-json = data file
sessions-any = Any
sessions-show = Show sessions
sessions-found =
    { $count ->
        [0] No session fits
        [one] One session
       *[other] { $count } sessions
    }
sessions-found-span =
    { $count ->
        [one] One session, { $span }
       *[other] { $count } sessions, { $span }
    }
sessions-span = { $from } to { $to }
sessions-none = No session fits what you look for. Ask for less or farther away, or look again in a few days.
sessions-none-planned = No session is planned right now. Look again in a few days, or call the office.
sessions-all = Show all sessions
sessions-note-age = Age counts on the first day of the session, in full years.
sessions-note-wait = A full session has a waitlist. You see your place before you sign.
session-county = { $county } County
session-ages = Ages { $least } to { $most }
session-taught = Taught in { $language }
language-en = English
language-es = Spanish
session-seats-free =
    { $count ->
        [one] 1 seat free
       *[other] { $count } seats free
    }
session-full =
    { $count ->
        [0] Full, nobody waits
        [one] Full, 1 waits
       *[other] Full, { $count } wait
    }
session-called-off = Called off
session-over = Over
session-closed = No more registrations
session-back = All sessions
session-when = When
session-where = Where
session-who = Who
session-seats = Seats
session-taught-label = Language
session-course = Course
session-directions = How to get there
session-zone = { $times }, { $zone }
session-mornings =
    { $count ->
        [one] 1 morning: { $days }
       *[other] { $count } mornings: { $days }
    }
session-meetings =
    { $count ->
        [one] 1 day: { $days }
       *[other] { $count } days: { $days }
    }
session-earlier = Before the session
session-earlier-asked = { $part }. Staff look at the proof on the day.
session-earlier-needed = { $part }. Your child cannot start before staff have seen the proof.
session-all-meetings = Your child comes to all of them.
session-bring = What to bring
session-bring-1 = Long trousers, a shirt with long sleeves, and shoes that cover the ankle.
session-bring-2 = Gloves, if you have a pair. We lend helmets, goggles and gloves.
session-bring-3 = Water, a snack, and clothes for the weather.
session-bring-4 = Medicine that your child needs on the day.
session-bring-5 = An adult from your pick-up list takes your child home.
session-register = Register a child
session-waitlist = Join the waitlist
session-waitlist-more =
    { $place ->
        [1] All seats are taken. Your child would be first in line. We write when a seat comes free. A place in line is no seat yet.
       *[other] All seats are taken. Your child would have place { $place } in line. We write when a seat comes free. A place in line is no seat yet.
    }
session-minutes = Registering takes about five minutes. Your answers are kept as you go.
session-closed-more = This session takes no more registrations.
session-other-way = Look for another session
session-caution-title = Know before you register.
session-source = Source
