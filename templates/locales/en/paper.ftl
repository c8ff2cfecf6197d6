# Papers of staff: their names, and why one does not hold on a day.
paper-riding = riding certification
paper-first_aid = first-aid card
paper-background = background check
paper-child_protection = child-protection training
paper-not-yet = { $paper } (holds from { $day })
paper-expired = { $paper } (held through { $day })
paper-suspended = { $paper } (set aside since { $day })
paper-revoked = { $paper } (taken back on { $day })
paper-missing = { $paper } (missing)
