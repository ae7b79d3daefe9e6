-- Photographs: the bytes by their hash. Which reading each belongs to, who added it and when is an event; these rows are
-- what such an event names, written in the same step and as little ever changed.

CREATE TABLE photo (
    hash  TEXT PRIMARY KEY CHECK (length(hash) = 64),    -- BLAKE3 of the bytes, in hexadecimal digits
    bytes BLOB NOT NULL CHECK (length(bytes) > 0)
) STRICT;

CREATE TRIGGER photo_is_never_changed BEFORE UPDATE ON photo
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: a photograph is never changed');
END;

CREATE TRIGGER photo_is_never_deleted BEFORE DELETE ON photo
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: a photograph is never deleted');
END;

-- Also closes the side door: INSERT OR REPLACE deletes without firing the trigger above.
CREATE TRIGGER photo_is_never_replaced BEFORE INSERT ON photo
WHEN EXISTS (SELECT 1 FROM photo WHERE hash = NEW.hash OR rowid = NEW.rowid)
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: a photograph is never replaced');
END;

-- The reading that a photograph is of, and its hash.
ALTER TABLE event ADD COLUMN pictured INTEGER GENERATED ALWAYS AS (payload ->> '$.of') VIRTUAL;
ALTER TABLE event ADD COLUMN picture TEXT GENERATED ALWAYS AS (payload ->> '$.hash') VIRTUAL;
CREATE INDEX event_pictured ON event (pictured) WHERE pictured IS NOT NULL;
CREATE INDEX event_picture ON event (picture) WHERE picture IS NOT NULL;
