# The ways to go in the head of each page.
nav-sessions = Sessions
nav-riders = My riders
nav-registrations = My registrations
nav-my-sessions = My sessions
nav-season = Season
nav-families = Families
nav-people = People
nav-machines = Machines
nav-gear = Gear and grants
nav-reports = Reports
nav-program = Program and rules
nav-certificates = Check a certificate
nav-sign-in = Sign in
