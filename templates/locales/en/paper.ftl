# Papers of staff and of sites: their names, and why one does not hold on a day.
paper-riding = riding certification
paper-first_aid = first-aid card
paper-background = background check
paper-child_protection = child-protection training
paper-owner_permission = owner's permission
paper-insurance = insurance
paper-use_permit = land-use permit
paper-not-yet = { $paper } (holds from { $day })
paper-expired = { $paper } (held through { $day })
paper-suspended = { $paper } (set aside since { $day })
paper-revoked = { $paper } (taken back on { $day })
paper-missing = { $paper } (missing)

letter-paper-subject = Your { $paper } runs out on { $day }
letter-paper-first = { $left ->
    [0] Your { $paper } holds through today, { $day }.
    [one] Your { $paper } holds through { $day }: one more day.
   *[other] Your { $paper } holds through { $day }: { $left } more days.
}
letter-paper-why = After that day nobody can plan you for a session that needs it. A session on a later day may lose you even if you are planned for it already.
letter-paper-way = How your papers stand, after you sign in:
letter-paper-last = Please renew it and send the new one to the office, { $phone }. If you have done so, no more is needed.
