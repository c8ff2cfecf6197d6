# Forms: labels that many forms share, and what to say when an answer cannot be used.
form-errors =
    { $count ->
        [1] One answer needs another look
        [2] Two answers need another look
        [3] Three answers need another look
       *[other] { $count } answers need another look
    }
form-error-mark = Error:
form-optional = (optional)
form-back = Back
form-step = Step { $step } of { $steps }: { $name }
form-steps = Steps
form-step-done = (done)
form-change = Change
form-month = Month
form-day = Day
form-year = Year
form-month-choose = Choose
form-date-hint = For example: April 27 2016
form-choose = Choose one
form-required = Write an answer here
form-required-choice = Choose one of the answers
form-required-check = Tick the box to go on
form-too-long =
    { $most ->
        [1] Write one character at most
       *[other] Write { $most } characters at most
    }
form-too-short =
    { $least ->
        [1] Write at least one character
       *[other] Write at least { $least } characters
    }
form-unknown-choice = Choose one of the answers in the list
form-not-a-number = Write a number, such as { $example }
form-too-small = Write { $least } or more
form-too-big = Write { $most } or less
form-not-a-date = There is no such day. Look at the month, day and year
form-date-missing = Write the month, day and year
form-month-missing = Choose the month
form-day-missing = Write the day
form-year-missing = Write the year
form-year-four-digits = Write all four digits of the year, such as 2016
form-date-future = This day is still to come. Look at the year
form-date-past = This day is over. Choose a later one
form-date-long-ago = This day is too long ago. Look at the year
form-not-a-time = Write a time, such as 8:30 AM
form-not-an-email = Write a whole e-mail address, such as ana@example.org
form-not-a-phone = Write a phone number with its area code, such as 406 555 0142
form-not-a-zip = Write a ZIP code of five digits, such as 59601
form-not-a-name = Write a name with at least one letter
form-not-money = Write an amount, such as 42.50
form-not-a-length = Write a length, such as 23 5/8 in
form-wrong-characters = This holds a character we cannot keep
form-expired = This page waited too long. Your answers are still here. Please send them again
# An error that several fields share, with the label of one.
form-error-of = { $words } ({ $label })
