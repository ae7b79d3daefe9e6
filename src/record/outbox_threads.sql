-- What the chat keeps of its own: each job's thread with its pinned card, and who posted what. No part of the record.

CREATE TABLE thread (
    job      INTEGER PRIMARY KEY,
    opened   BLOB NOT NULL CHECK (length(opened) = 32),  -- hash of the event that opened it: another record has another
    parent   TEXT NOT NULL,                    -- the channel it is made in; '' for the one that the settings name
    channel  TEXT UNIQUE,                      -- the thread, once it is made
    card     TEXT,                             -- its pinned message, once it is there
    cards    INTEGER NOT NULL DEFAULT 0,       -- how many cards there were before: each has a nonce of its own
    shown    INTEGER NOT NULL DEFAULT 0,       -- the job's last event that the card tells; 0: to be painted anew
    archived INTEGER NOT NULL DEFAULT 0 CHECK (archived IN (0, 1))
) STRICT;

-- The chat's own number of who sent a line, under the key that the line's readings were posted by.
CREATE TABLE poster (
    person TEXT NOT NULL,
    key    TEXT NOT NULL,
    member TEXT NOT NULL,
    said   TEXT NOT NULL,                      -- UTC, RFC 3339
    PRIMARY KEY (person, key)
) STRICT, WITHOUT ROWID;

-- The chat's own number of the person that a notice calls.
ALTER TABLE notice ADD COLUMN member TEXT;
