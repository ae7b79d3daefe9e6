-- Layout 1 of the record.
--
-- `event` is the record: every row stays as it was written, and each one's hash covers the one before it.
-- `derived_job` and `derived_standing` say where things stand, worked out from the events alone.
-- `job` and `standing` keep the outcome of those two views, so that no query walks the whole record;
-- they may be thrown away and filled again from the views, and verify compares them.

PRAGMA application_id = 0x47444F4E;

CREATE TABLE event (
    seq      INTEGER PRIMARY KEY CHECK (seq > 0),
    at       TEXT NOT NULL,                        -- UTC, RFC 3339
    person   TEXT NOT NULL CHECK (person <> ''),
    role     TEXT NOT NULL CHECK (role IN ('apprentice', 'tech', 'lead')),
    front    TEXT NOT NULL,
    channel  TEXT NOT NULL,
    key      TEXT CHECK (key <> ''),               -- a retry by the same person carries the same key
    payload  TEXT NOT NULL CHECK (json_valid(payload)),
    previous BLOB NOT NULL CHECK (length(previous) = 32),
    hash     BLOB NOT NULL CHECK (length(hash) = 32),
    kind       TEXT    GENERATED ALWAYS AS (payload ->> '$.kind') VIRTUAL,
    job        INTEGER GENERATED ALWAYS AS (payload ->> '$.job') VIRTUAL,
    check_id   TEXT    GENERATED ALWAYS AS (payload ->> '$.check') VIRTUAL,
    position   TEXT    GENERATED ALWAYS AS (payload ->> '$.position') VIRTUAL,
    supersedes INTEGER GENERATED ALWAYS AS (payload ->> '$.amends.reading') VIRTUAL,
    reviews    INTEGER GENERATED ALWAYS AS (payload ->> '$.reading') VIRTUAL
) STRICT;

CREATE UNIQUE INDEX event_key ON event (person, key) WHERE key IS NOT NULL;
CREATE UNIQUE INDEX event_supersedes ON event (supersedes) WHERE supersedes IS NOT NULL;
CREATE INDEX event_reviews ON event (reviews) WHERE reviews IS NOT NULL;
CREATE INDEX event_job ON event (job, kind);
CREATE INDEX event_place ON event (job, check_id, position) WHERE kind = 'reading';

CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: an event is never changed');
END;

CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: an event is never deleted');
END;

-- Also closes the side door: INSERT OR REPLACE deletes without firing the trigger above.
CREATE TRIGGER event_only_goes_on_the_end BEFORE INSERT ON event
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM event)
    OR NEW.previous IS NOT coalesce((SELECT hash FROM event ORDER BY seq DESC LIMIT 1), zeroblob(32))
    OR EXISTS (SELECT 1 FROM event WHERE person = NEW.person AND key = NEW.key)
    OR EXISTS (SELECT 1 FROM event WHERE supersedes = NEW.payload ->> '$.amends.reading')
BEGIN
    SELECT RAISE(ABORT, 'the record is append-only: an event only goes on the end of the chain');
END;

CREATE TABLE job (
    id     INTEGER PRIMARY KEY CHECK (id > 0),
    opened INTEGER NOT NULL UNIQUE REFERENCES event (seq),
    closed INTEGER UNIQUE REFERENCES event (seq)
) STRICT;

CREATE INDEX job_open ON job (id) WHERE closed IS NULL;

-- One row for each current reading: one that no amendment has superseded.
CREATE TABLE standing (
    reading  INTEGER PRIMARY KEY REFERENCES event (seq),
    job      INTEGER NOT NULL REFERENCES job (id),
    check_id TEXT NOT NULL,
    position TEXT NOT NULL,
    person   TEXT NOT NULL,
    severity INTEGER NOT NULL,                     -- 3 out, 2 marginal, 1 within, 0 no limit
    review   INTEGER REFERENCES event (seq),       -- the latest, if any
    decision TEXT CHECK (decision IN ('accepted', 'returned')),
    waiting  INTEGER NOT NULL CHECK (waiting IN (0, 1))
) STRICT;

CREATE INDEX standing_place ON standing (job, check_id, position);
CREATE INDEX standing_waiting ON standing (severity DESC, reading) WHERE waiting = 1;
CREATE INDEX standing_returned ON standing (person) WHERE decision = 'returned';

CREATE VIEW derived_job AS
SELECT o.job AS id, o.seq AS opened,
    (SELECT c.seq FROM event c WHERE c.job = o.job AND c.kind = 'job-closed') AS closed
FROM event o WHERE o.kind = 'job-opened';

CREATE VIEW derived_standing AS
SELECT e.seq AS reading, e.job, e.check_id, e.position, e.person,
    CASE e.payload ->> '$.verdict' WHEN 'out' THEN 3 WHEN 'marginal' THEN 2 WHEN 'within' THEN 1 ELSE 0 END AS severity,
    r.seq AS review, r.payload ->> '$.decision' AS decision,
    r.seq IS NULL AND NOT EXISTS (SELECT 1 FROM event c WHERE c.job = e.job AND c.kind = 'job-closed') AS waiting
FROM event e LEFT JOIN event r ON r.seq = (SELECT max(l.seq) FROM event l WHERE l.reviews = e.seq)
WHERE e.kind = 'reading' AND NOT EXISTS (SELECT 1 FROM event s WHERE s.supersedes = e.seq);

-- Which job a person means when they name none, by the channel they speak in. Not part of the chain.
CREATE TABLE current_job (
    person  TEXT NOT NULL,
    channel TEXT NOT NULL,
    job     INTEGER NOT NULL REFERENCES job (id),
    PRIMARY KEY (person, channel)
) STRICT, WITHOUT ROWID;
