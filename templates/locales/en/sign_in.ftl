# Signing in.
sign-in-title = Sign in
sign-in-email = Your e-mail address
sign-in-password = Your password
sign-in-act = Sign in
sign-in-no-account = No account yet?
sign-in-no-account-note = You make one while you register a child. Looking at sessions needs none.
sign-in-cookie = Cookies
sign-in-demo = Try the demonstration
sign-in-demo-note = Go in as one of these invented people. You can change anything.
sign-in-demo-only = These buttons are only there while the program runs as a demonstration, on this machine alone.
sign-in-as-guardian = Enter as a guardian
sign-in-as-instructor = Enter as an instructor
sign-in-as-helper = Enter as a helper
sign-in-as-first-aid = Enter as first aid
sign-in-as-coordinator = Enter as the coordinator
sign-in-as-grant-manager = Enter as the grant manager
sign-in-as-administrator = Enter as the administrator
