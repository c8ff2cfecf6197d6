# Signing in, and the list of sign-ins.
sign-in-title = Sign in
sign-in-notes = Notes
sign-in-email = E-mail address
sign-in-password = Password
sign-in-button = Sign in
sign-in-refused-next = Look at both again. Capital letters count in the password.
sign-in-demo-lead = This is a demonstration on this machine alone. Choose who you want to be.
sign-in-with-password = Or with an address and a password
sign-in-note-families = You do not need an account to look at sessions. You make one while you register a child.
sign-in-note-sessions = See the sessions
sign-in-note-certificate = To see if a certificate is real you need no account.
sign-in-role-guardian = A parent
sign-in-role-guardian-does = Registers children and sees their certificates.
sign-in-role-guardian-button = Sign in as the parent
sign-in-role-instructor = An instructor
sign-in-role-instructor-does = Runs the day: check-in, fit, skills, helmets.
sign-in-role-instructor-button = Sign in as the instructor
sign-in-role-helper = A helper
sign-in-role-helper-does = Helps on the field. Sees no health notes.
sign-in-role-helper-button = Sign in as the helper
sign-in-role-first_aid = First aid
sign-in-role-first_aid-does = Sees allergies and guardians' phones, at once.
sign-in-role-first_aid-button = Sign in as first aid
sign-in-role-coordinator = A coordinator
sign-in-role-coordinator-does = Plans sessions and answers for the report.
sign-in-role-coordinator-button = Sign in as the coordinator
sign-in-role-grant_manager = A grant manager
sign-in-role-grant_manager-does = Reads reports for those who pay.
sign-in-role-grant_manager-button = Sign in as the grant manager
sign-in-role-administrator = An administrator
sign-in-role-administrator-does = People, rules and texts of the program.
sign-in-role-administrator-button = Sign in as the administrator
sign-ins-title = Your sign-ins
sign-ins-lead = These browsers are signed in as you. End any that you do not know.
sign-ins-count =
    { $count ->
        [one] One sign-in
       *[other] { $count } sign-ins
    }
sign-ins-since = Since
sign-ins-seen = Last seen
sign-ins-end-button = End
sign-ins-here = (this one)
sign-ins-note = Times are in UTC and to about five minutes. A sign-in ends by itself when it is not used.
sign-ins-unknown = Unknown browser
