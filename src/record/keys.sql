-- Who may come to the page, in a file beside the record: it says nothing of what was measured, so no backup, restore or
-- import of the record lets anyone in or puts anyone out. Of codes and keys only hashes lie here. Times are UTC seconds.

PRAGMA application_id = 0x47444B59;

-- Those a lead let in; the shop's settings name others.
CREATE TABLE member (
    name TEXT PRIMARY KEY CHECK (name <> ''),
    role TEXT NOT NULL CHECK (role IN ('apprentice', 'tech', 'lead'))
) STRICT;

CREATE TABLE invitation (
    person TEXT PRIMARY KEY CHECK (person <> ''),
    role   TEXT NOT NULL CHECK (role IN ('apprentice', 'tech', 'lead')),
    mark   BLOB NOT NULL UNIQUE CHECK (length(mark) = 32),
    ends   INTEGER NOT NULL
) STRICT;

CREATE TABLE device (
    number INTEGER PRIMARY KEY AUTOINCREMENT,       -- never used again for another
    mark   BLOB NOT NULL UNIQUE CHECK (length(mark) = 32),
    person TEXT NOT NULL CHECK (person <> ''),
    name   TEXT NOT NULL CHECK (name <> ''),
    local  INTEGER NOT NULL CHECK (local IN (0, 1)), -- came in without a code, at the shop's own machine
    joined INTEGER NOT NULL,
    seen   INTEGER NOT NULL
) STRICT;

CREATE INDEX device_person ON device (person);
