-- What is still to be said, in a file beside the record: it is no part of what was measured, so no backup, restore or
-- import of the record says anything again.

PRAGMA application_id = 0x47444F58;

-- How far the record was looked through: its event of that number and hash. Another hash there is another record.
CREATE TABLE mark (
    one  INTEGER PRIMARY KEY CHECK (one = 1),
    seq  INTEGER NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;

CREATE TABLE notice (
    number  INTEGER PRIMARY KEY,                    -- they are said in this order
    key     TEXT NOT NULL UNIQUE CHECK (key <> ''),
    place   TEXT NOT NULL CHECK (place <> ''),      -- 'leads', or a channel
    title   TEXT NOT NULL,
    text    TEXT NOT NULL,
    call    INTEGER NOT NULL CHECK (call IN (0, 1)),
    offers  TEXT NOT NULL CHECK (json_valid(offers)),
    settled TEXT,                                   -- when it was said or set aside, UTC, RFC 3339
    refusal TEXT                                    -- why it was set aside
) STRICT;

CREATE INDEX notice_waiting ON notice (number) WHERE settled IS NULL;
