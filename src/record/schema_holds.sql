-- Layout with holds: of two readings at one place only the later one waits for the lead; what people were told.

-- As before, but a reading waits only while it counts: while no later current reading stands at its place.
DROP VIEW derived_standing;
CREATE VIEW derived_standing AS
SELECT e.seq AS reading, e.job, e.check_id, e.position, e.person,
    CASE e.payload ->> '$.verdict' WHEN 'out' THEN 3 WHEN 'marginal' THEN 2 WHEN 'within' THEN 1 ELSE 0 END AS severity,
    r.seq AS review, r.payload ->> '$.decision' AS decision,
    r.seq IS NULL AND NOT EXISTS (SELECT 1 FROM event c WHERE c.job = e.job AND c.kind = 'job-closed')
        AND NOT EXISTS (
            SELECT 1 FROM event n
            WHERE n.kind = 'reading' AND n.job = e.job AND n.check_id = e.check_id AND n.position = e.position
                AND n.seq > e.seq AND NOT EXISTS (SELECT 1 FROM event s WHERE s.supersedes = n.seq)) AS waiting
FROM event e LEFT JOIN event r ON r.seq = (SELECT max(l.seq) FROM event l WHERE l.reviews = e.seq)
WHERE e.kind = 'reading' AND NOT EXISTS (SELECT 1 FROM event s WHERE s.supersedes = e.seq);

DELETE FROM standing;
INSERT INTO standing SELECT * FROM derived_standing;

-- Returns that reached the person who had posted the reading. Not part of the chain.
CREATE TABLE told (review INTEGER PRIMARY KEY REFERENCES event (seq)) STRICT;

-- The shop's days whose digest was given out. Not part of the chain.
CREATE TABLE digest (day TEXT PRIMARY KEY CHECK (day <> '')) STRICT, WITHOUT ROWID;
