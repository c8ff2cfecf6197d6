# One's own account: the second step, links by mail, password, address, and the letters about them.
account-title = Your account
account-name = Name
account-see = See
account-password-set = You have one.
account-password-none = You have none. You sign in with a link by mail.
account-second-step = Second step
account-second-step-on =
    { $count ->
        [0] An app on your phone. No recovery code is left. Set it up anew to get ten.
        [one] An app on your phone. One recovery code is left.
       *[other] An app on your phone. { $count } recovery codes are left.
    }
account-second-step-off = None. A code from your phone keeps others out, even with your password.
account-second-step-add = Add
account-sign-ins = The browsers that are signed in as you.
account-note = We write to you whenever your address, your password or your second step changes.
account-by-link-title = First a link by mail
account-by-link-lead = You have no password yet. Open the link that we send you. In the five minutes after that you can change your account.
account-by-link-note = The letter goes to { $email }.
account-current = Your password now
account-current-hint = So that nobody else can change it while you are away.
account-new-password = New password
account-password-title = A new password
account-password-button = Save the new password
account-password-note = You may paste it. A password program on your phone can make a good one and keep it.
account-end-others = Sign out everywhere else
account-address-title = A new e-mail address
account-address-lead = Now it is { $email }.
account-address-new = New e-mail address
account-address-button = Send the link
account-address-note = We send a link to the new address. The old one stays until you open it. Then we write to both.
account-address-sent = Look into your new mailbox
account-address-sent-lead = If the address can be used, a letter with a link is on its way to it. The link works for 30 minutes.
account-without-title = Go without the second step
account-without-lead = Then your password or a link by mail is enough to see your children's records.
account-without-button = Take the second step away
account-without-keep = Keep it

sign-in-no-password = I have no password or forgot it
sign-ins-end-others = Sign out everywhere else

code-title = Your second step
code-lead = Open the app on your phone that shows your code.
code-label = Code
code-hint = Six digits, or one of your recovery codes.
code-again = Start again
code-recovery = No phone at hand? Type one of the ten recovery codes that you kept. Each works once.
code-lost = Phone and codes both gone? Call the office. Two people there must agree before you get in again.

second-step-title = Set up your second step
second-step-lead = From now on you sign in with a code from your phone too. It takes two minutes.
second-step-scan = 1. Scan this with your code app
second-step-scan-more = Any app that shows codes of six digits will do. Your phone may have one already.
second-step-picture = Picture for your code app
second-step-by-hand = Or type this key into the app:
second-step-on-this-phone = The app is on this phone: open it
second-step-codes = 2. Keep these recovery codes
second-step-codes-more = Write them down or print this page. Each one lets you in once, without your phone.
second-step-try = 3. Try it
second-step-code = Code in the app now
second-step-code-hint = Six digits. They change every 30 seconds.
second-step-button = Save and go on
second-step-staff = Everybody who works for the program signs in with two steps. You see children's records, so a password alone is not enough.
second-step-why = The code stays the same for 30 seconds and works once. Nobody from the office ever asks you for it.
second-step-print = Keep the printed codes where you keep other papers, not with your phone.

link-ask-title = Sign in with a link
link-ask-lead = We send a letter with a link to your address. The link signs you in. Then you may choose a new password.
link-ask-button = Send the link
link-ask-note = The link works once, for 30 minutes. A newer link ends an older one.
link-sent-title = Look into your mailbox
link-sent-lead = If your address has an account, a letter with a link is on its way.
link-sent-more = It can take a few minutes. Look into the folder for unwanted mail too.
link-sent-again = No letter? Ask again
link-sent-note = You may close this page. The link opens in any browser.
link-title = Sign in
link-lead = Press the button to sign in on this device.
link-password-button = Sign in and choose a new password
link-note = A link works once. If you did not ask for it, close this page. Nothing has happened.
link-over-title = This link works no more
link-over-again = Ask for a new link
link-address-title = Use this e-mail address
link-address-lead = Press the button, and your account uses the address that this link came to.
link-address-button = Use this address
link-address-done = Your account has the new address
link-address-done-lead = Sign in with it from now on. We wrote to both addresses.
link-address-done-on = Go on

letter-account-link = Open this link within 30 minutes:
letter-account-office = Was it not you? Call { $phone } or write to { $email }.
letter-sign-in-link-subject = Your link to sign in
letter-sign-in-link-first = Somebody asked for a link to sign in at { $program } with your address.
letter-sign-in-link-more = If it was not you, do nothing. Without the link nobody gets in.
letter-address-link-subject = Is this your new address?
letter-address-link-first = An account at { $program } is to use this address.
letter-address-link-more = If it was not you, do nothing. Then the address is not used.
letter-address-new-subject = Your new address is in use
letter-address-new-first = Your account at { $program } uses this address now.
letter-address-new-more = Letters come here, and you sign in with it.
letter-address-old-subject = Your account has a new address
letter-address-old-first = Your account at { $program } uses another e-mail address now. Letters no longer come here.
letter-address-old-more = If you did not change it, call the office at once.
letter-password-changed-subject = Your password was changed
letter-password-changed-first = The password of your account at { $program } was changed.
letter-password-changed-more = If you did not change it, ask for a link to sign in, and choose a new one.
letter-second-step-on-subject = Your second step is set up
letter-second-step-on-first = Your account at { $program } now asks for a code from your phone.
letter-second-step-on-more = Keep your recovery codes in a safe place.
letter-second-step-off-subject = Your second step was taken away
letter-second-step-off-first = Your account at { $program } no longer asks for a code from your phone.
letter-second-step-off-more = If you did not change it, call the office at once.
