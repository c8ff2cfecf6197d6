-- One more step that a place can take: staff registered the child, with the adult before them or on the telephone.
ALTER TABLE place_changes RENAME COLUMN reason TO why;
ALTER TABLE place_changes ADD COLUMN reason TEXT NOT NULL DEFAULT 'registered'
    CONSTRAINT place_changes_steps CHECK (reason IN
        ('registered', 'address_shown', 'seat_freed', 'offer_taken', 'offer_left', 'ran_out', 'given_up', 'known_already',
         'moved', 'comes', 'stays_away', 'office_gave_up', 'office_seated', 'staff_registered'));
UPDATE place_changes SET reason = why;
ALTER TABLE place_changes DROP COLUMN why;
