# Why the answer is no, and what helps.
refusal-next = Go back. What you wrote is still there. Change it, or call the office.
refusal-sign-in-failed = This address and this password do not belong together.
refusal-too-many-tries = There were too many wrong tries. Wait { $minutes } minutes, then try again.
refusal-code-wrong = This code is not right, or it was used already. Take the newest one.
refusal-password-wrong = This is not your password now.
refusal-link-over = It was used, a newer one took its place, or it is more than 30 minutes old.
refusal-last-administrator = This is the only open account of an administrator. Open or add another one first.
refusal-asked-by-yourself = You told of the loss yourself. Another administrator has to agree.
refusal-has-administrator = The program has an administrator already.
refusal-only-in-demo = This is only open in a demonstration.
refusal-too-young = A rider must be { $least } or older on { $day }. Look for a course for younger children.
refusal-too-old = This course is for riders up to { $most } years old on { $day }. Look for another course.
refusal-two-sessions-at-once = This rider has a place at { $site } on { $day }, at the same time.
refusal-nobody-decides = Nobody may decide for this child now. Call the family, and look at the child in Families.
refusal-only-adult = Nobody else answers for this child here. Ask another adult first, or call the office.
refusal-took-part = The child has taken part in a session. Call the office to change the birth date.
refusal-office-decides = The office decides about this. Please call.
refusal-both-in-session = Both entries have a place at { $site } on { $day }, or took part there. Give one of the two places up first. If both took part, they are two children.
refusal-stays-with-other = At { $site } on { $day } the other entry has the place. Keep that entry, or give its place up first.
refusal-address-not-shown = Confirm your own address first. Open the link in our letter to you.
refusal-too-many-invitations = You have asked five people today. Ask again tomorrow, or call the office.
refusal-no-seat-there = That session has no free seat for this child any more. The place here stays as it was.
refusal-no-seat-free = No seat is free in this session. Give up another place first, or move a child.
refusal-already-registered = This rider already has a place in this session.
refusal-session-takes-no-registrations = The session of { $day } takes no more registrations. Choose another day.
refusal-answer-too-late = This was answered already, or the time to answer is over. If you have an account, sign in to see how the place stands.
refusal-consent-not-approved = Registration is not open yet. The consent text still waits for approval.
refusal-consent-changed = The consent text changed while you were reading. Read the new text and sign again.
refusal-step-missing = An answer of an earlier step is missing. Go back to that step first.
refusal-paper-taken-back = This paper was taken back for good. Add the new one beside it.
refusal-key-reused = This form was sent before with other answers. Open it anew and send it once.
refusal-lead-not-valid = { $name } cannot lead on { $day }. These papers do not hold on that day: { $papers }.
refusal-staff-not-valid = { $name } cannot be on the team on { $day }. These papers do not hold on that day: { $papers }.
refusal-site-not-ready = No session can be held at { $site } on { $day }. These papers of the site do not hold on that day: { $papers }.
refusal-not-yet-a-lead = { $name } teaches beside a lead and cannot lead yet. Choose another lead.
refusal-second-adult-needed = Never one adult alone with children. Add a second adult to the team.
refusal-first-aider-needed = Nobody on the team has a first-aid card that holds on { $day }. Add somebody who has one.
refusal-machine-retired = Machine { $number } is no longer part of the fleet.
refusal-machine-goes-elsewhere = Machine { $number } goes to { $site } on { $day }. Leave it out here, or take it out there first.
refusal-meter-runs-back = The meter showed { $hours } hours before. Read it again, or say that it is a new meter.
refusal-code-taken = { $code } is taken already. Write another one.
refusal-day-is-over = { $day } is over. Choose a day to come.
refusal-no-seats-site = The session would have no seats: the site takes no riders.
refusal-no-seats-staff = The session would have no seats: no certified instructor is there.
refusal-no-seats-machines = The session would have no seats: no machine can be used.
refusal-no-seats-helmets = The session would have no seats: no helmet is on hand.
refusal-no-seats-choice = The session would have no seats: you chose none.
refusal-meetings-not-in-order = Each meeting needs a day of its own, after the one above it. { $day } does not fit.
refusal-no-such-time = That time does not exist on { $day }, because clocks are set forward. Choose another time.
refusal-day-to-come = { $day } has not come yet. Write a day that has.
refusal-already-approved = Somebody has entered an approval of this text already.
refusal-draft-moved = This was changed in another window since you opened it. Your answers are kept below. Read what stands now, then save again.
refusal-site-taken = { $site } holds another session at that time on { $day }. Choose another time or site.
refusal-person-planned-twice = { $name } is planned at { $site } already on { $day }. Choose somebody else, or another day.
refusal-pattern-name-taken = There is a pattern called { $name } already. Choose another name.
refusal-session-not-open = This session is closed, called off or over. Nothing of it can be changed now.
refusal-session-has-begun = A child was checked in already. Close the session at the end of the day instead.
refusal-session-changed = Somebody changed this session after you opened the page. Look at it as it stands now, then decide.
refusal-seats-taken-site = { $taken } seats are taken, but the site would leave only { $seats }. Choose a larger site.
refusal-seats-taken-staff = { $taken } seats are taken, but the instructors would leave only { $seats }. Add an instructor first.
refusal-seats-taken-machines = { $taken } seats are taken, but the machines of that day would leave only { $seats }. Choose another day.
refusal-seats-taken-helmets = { $taken } seats are taken, but the helmets on hand would leave only { $seats }. Add helmets first.
refusal-seats-taken-choice = { $taken } seats are taken already. You cannot want only { $seats }.
refusal-riders-too-young = Some riders would be under { $least } on the new day: { $names }. Choose a later day.
refusal-nothing-moves = Day, time and site are the ones that hold already. Change one of them.
refusal-riders-are-registered = Families are registered. Move the session, so that they are told.
refusal-no-lead = Nobody leads this session. Choose a lead first.
refusal-session-takes-no-acts = This session takes no entries now. It has not begun, or it is closed.
refusal-meeting-to-come = That meeting is on { $day }. Nothing is entered for it before that day.
refusal-last-meeting-to-come = The session cannot close yet. Its last meeting is on { $day }.
refusal-proof-missing = The rider does not start. Nobody has seen the proof of the earlier part that this course needs.
refusal-no-proof-asked = This course asks for no proof of an earlier part.
refusal-rider-not-here = This rider is not checked in. Check the rider in first.
refusal-no-seat = This rider has no seat in this session.
refusal-no-consent = No signed consent of this rider stands. A guardian must sign first.
refusal-went-home = { $given } was checked out already, so nothing was entered. If { $given } is back, check in on the rider's own page.
refusal-gear-missing = The rider does not start. Missing: { $pieces }.
refusal-no-fit = The rider does not start. No fit check lets this rider ride yet.
refusal-machine-out-of-use = Machine { $number } is out of use. The rider gets off it and tries another one.
refusal-machine-not-looked-over = Look machine { $number } over first. Nobody has done so today.
refusal-too-many-riders =
    Stop riding: { $riders ->
        [one] 1 rider
       *[other] { $riders } riders
    }, { $instructors ->
        [0] no instructor who counts
        [one] 1 instructor
       *[other] { $instructors } instructors
    }. With a rider of { $youngest } here they may teach { $most }. Another instructor comes onto the area, or the lead writes why riding goes on.
refusal-adult-alone =
    Stop riding: { $riders ->
        [one] 1 rider
       *[other] { $riders } riders
    }, { $adults ->
        [0] no adult who counts
       *[other] 1 adult alone
    } on the riding area. A second adult comes onto the area, or the lead writes why riding goes on.
refusal-no-first-aider =
    Stop riding: { $riders ->
        [one] 1 rider
       *[other] { $riders } riders
    }, no first-aider. Somebody whose first-aid card holds today comes onto the area, or the lead writes why riding goes on.
refusal-nothing-to-go-on = The rule of the riding area is kept. Nothing needs a reason.
refusal-leads-already = { $name } leads this session already.
refusal-day-list-not-signed = Nobody rides yet. The day list is not signed. Open the day list, look at each point, then the lead signs.
refusal-day-list-open = Nobody rides. Not right on the day list: { $points }. Put it right and look again, then the lead signs the list anew.
refusal-day-list-not-looked = Look at these points of the day list first: { $points }. Then the lead signs.
refusal-day-list-changed = This session has another day list. Open the page anew and look at each point.
refusal-emergency-plan-missing = This site has no emergency plan. Call the office: it writes the plan on the site's page. Then the lead reads it and signs.
refusal-emergency-plan-changed = The emergency plan changed while you were reading. Read it again, then sign.
refusal-group-full = This group is full: { $most } riders at most. Choose another group.
refusal-note-needed = Write a note that says why.
refusal-only-the-lead = Only the lead of this session may do this.
refusal-mandatory-stands = A mandatory point of the fit check is never overridden.
refusal-adult-needed = Write the name of the adult who takes the child.
refusal-not-released = Do not let the child go. The family's list says: do not release to { $name }. If this is somebody else, write the full name. Else call the guardian.
refusal-no-helmet-left = No helmet of this kind is left. Choose another one.
refusal-helmet-size = This helmet does not hold a head of that size. Choose another size.
refusal-helmet-too-old = This helmet is older than the program allows. Choose another one.
refusal-helmet-made-to-come = This month is yet to come. Write the month on the label inside the helmet.
refusal-helmet-already = This rider already has a helmet from this session.
refusal-helmet-not-theirs = This rider has no such helmet from this session. Look again at which one it is.
refusal-helmet-back-already = This helmet is back already.
refusal-helmet-not-checked = Nobody has checked the helmet on this rider's head. Check it before the rider starts.
refusal-helmet-not-right = The helmet on this rider's head is not right. Change it and check it again before the rider starts.
refusal-helmet-recalled = Helmets of this lot are called back. Hand out none of them and let nobody wear one.
refusal-grant-period = Today lies outside the period of the grant that paid for this helmet. Choose another lot, or lend it.
refusal-grant-too-young = The grant that paid for this helmet is for children from age { $least }. Choose another lot, or lend it.
refusal-grant-too-old = The grant that paid for this helmet is for children up to age { $most }. Choose another lot, or lend it.
refusal-grant-other-county = The grant that paid for this helmet is for children of other counties. Choose another lot, or lend it.
refusal-grant-had-one = This child got a helmet on { $day }. The grant gives another one from { $again } on. Choose another lot, or lend it.
refusal-recall-stands = These helmets are called back already. Open that recall.
refusal-match-no-rate = The grant does not say what this counts for. Write the rate into its record first.
refusal-helmets-short = { $left ->
    [0] No helmet of this lot is there.
    [one] Only one helmet of this lot is there.
   *[other] Only { $left } helmets of this lot are there.
} Write a smaller number, or choose another place.
refusal-world-moved = Something newer was entered for this rider. Look at it, then decide.
refusal-undo-too-late = The time to undo this is over. It stays in the history. Enter what is right instead.
refusal-undo-not-yours = Only the person who entered this may undo it. Enter what is right instead.
refusal-children-not-home = The session cannot close. These children are not checked out: { $names }.
refusal-outcomes-missing = The session cannot close. The day has no outcome for: { $names }.
refusal-name-cannot-be-set = The certificate cannot print the name { $name }. These letters are missing: { $characters }.
refusal-already-closed = This session is closed already.
refusal-not-closed = This session is not closed, so there is nothing to reopen.
refusal-already-revoked = This certificate is revoked already.
refusal-county-unknown = There is no county of that name or code in this state.
refusal-county-ambiguous = More than one county has that name. Write one of these: { $labels }.
refusal-mark-unknown-check = This skill check is not part of the session's curriculum.
refusal-mark-whole-lesson = This lesson is marked check by check, not as a whole.
refusal-mark-lesson-first = Lesson { $lesson } comes first. Its required checks are not met yet.
refusal-mark-before-wheels = Check { $check } must be met before any wheel turns.
refusal-mark-only-lead-clears = Only the lead may clear a safety stop.
refusal-mark-reason-needed = Write why the safety stop is cleared.
refusal-mark-must-name-stop = Name the safety stop that this mark clears.

refusal-weather-thunder = Thunder or lightning. Everybody off the machines and into a building or a car with a hard roof. Nobody rides before { $until }. Every new thunder starts the wait anew.
refusal-weather-numbers = Nobody rides in this weather: { $numbers }. Read it again when it has changed.
refusal-weather-called = The lead stopped riding for the weather: { $why }
refusal-weather-nothing-called = There is no stop of the lead's to lift. Limits and the thunder clock lift themselves.
weather-heat = heat index { $number } °F, limit { $limit } °F
weather-chill = wind chill { $number } °F, limit { $limit } °F
weather-gusts = wind or gusts of { $number } mph, limit { $limit } mph
weather-sight = sight of { $number } ft, limit { $limit } ft
weather-air = air-quality index { $number }, limit { $limit }
refusal-incident-closed = This report is closed. Nobody changes it any more. Add to it below.
refusal-incident-lacks = { $count ->
    [one] One part is not written yet. The report says which.
   *[other] { $count } parts are not written yet. The report says which.
}
refusal-incident-not-signed = Nobody has signed this report yet, or somebody changed it after the signature.
refusal-incident-same-person = You signed first. Another person signs second.
refusal-incident-told-already = Somebody has noted already that the insurer was told.
refusal-incident-too-many-photos = { $most } photos are enough for one report.
refusal-incident-kept = This machine is kept as it is for report { $case }. Close the report first.
refusal-staff-away = { $name } is away through { $day }. Choose somebody else, or ask them to take it back.
refusal-too-long-away = Days away are at most a year at a time.
refusal-too-many-away = So many absences are enough. Take old ones back first.
