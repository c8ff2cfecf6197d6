ALTER TABLE place_changes RENAME COLUMN reason TO step;
ALTER TABLE place_changes ADD COLUMN reason TEXT NOT NULL DEFAULT 'registered'
    CONSTRAINT place_changes_why CHECK (reason IN
        ('registered', 'address_shown', 'seat_freed', 'offer_taken', 'offer_left', 'ran_out', 'given_up', 'known_already',
         'moved', 'comes', 'stays_away', 'office_gave_up', 'office_seated'));
UPDATE place_changes SET reason = CASE WHEN step = 'staff_registered' THEN 'registered' ELSE step END;
ALTER TABLE place_changes DROP COLUMN step;
