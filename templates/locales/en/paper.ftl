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
