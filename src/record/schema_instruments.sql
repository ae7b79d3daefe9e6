-- The register of instruments, worked out from the events as jobs are, and how warm each person's bench is.

-- One row for each instrument that was ever in the register.
CREATE TABLE instrument (
    added      INTEGER PRIMARY KEY REFERENCES event (seq),
    name       TEXT NOT NULL UNIQUE COLLATE NOCASE,
    calibrated INTEGER UNIQUE REFERENCES event (seq),    -- the latest, if any
    rated      INTEGER UNIQUE REFERENCES event (seq),    -- the latest that gave another uncertainty
    retired    INTEGER UNIQUE REFERENCES event (seq)
) STRICT;

ALTER TABLE event ADD COLUMN instrument INTEGER GENERATED ALWAYS AS (payload ->> '$.number') VIRTUAL;
CREATE INDEX event_of_instrument ON event (instrument, kind) WHERE instrument IS NOT NULL;

-- What was last named in a channel for a check, without a look at every reading.
CREATE INDEX event_instrument_used ON event (channel, check_id, seq)
    WHERE kind = 'reading' AND payload ->> '$.instrument' IS NOT NULL;

CREATE VIEW derived_instrument AS
SELECT a.seq AS added, a.payload ->> '$.name' AS name,
    (SELECT max(c.seq) FROM event c
     WHERE c.instrument = a.seq AND c.kind = 'instrument-calibrated') AS calibrated,
    (SELECT max(c.seq) FROM event c
     WHERE c.instrument = a.seq AND c.kind = 'instrument-calibrated'
         AND c.payload ->> '$.uncertainty' IS NOT NULL) AS rated,
    (SELECT min(r.seq) FROM event r
     WHERE r.instrument = a.seq AND r.kind = 'instrument-retired') AS retired
FROM event a WHERE a.kind = 'instrument-added';

-- The temperature a person said in a channel, and when. Not part of the chain: each reading keeps the one it used.
CREATE TABLE bench_temperature (
    person  TEXT NOT NULL,
    channel TEXT NOT NULL,
    kelvin  TEXT NOT NULL,                               -- as a decimal, which comes back exactly
    at      TEXT NOT NULL,                               -- UTC, RFC 3339
    PRIMARY KEY (person, channel)
) STRICT, WITHOUT ROWID;
