//! Jobs: one engine on the bench, from opening to closing, and which one a person is working on.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row};

use super::{
    Act, Actor, Event, Happening, JobClosed, JobId, JobOpened, OpenHold, Record, RecordError, chain, trouble::required,
};

/// Who did something, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    pub by: Actor,
    pub when: Timestamp,
}

/// A job as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    pub id: JobId,
    /// The engine page's id.
    pub engine: String,
    pub title: String,
    pub note: Option<String>,
    pub opened: Mark,
    pub closed: Option<Mark>,
    /// Why it was closed, if that was said.
    pub closing_reason: Option<String>,
}

impl Job {
    /// Whether readings may still be added.
    pub fn is_open(&self) -> bool {
        self.closed.is_none()
    }
}

/// Which jobs to list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobFilter {
    Open,
    Closed,
    All,
}

impl Record {
    /// Opens a job. With a key, a retry by the same person returns the job that the first one opened.
    /// Errors: [`RecordError::NotAllowed`], `Unfit`, `Conflict`.
    pub fn open_job(
        &self,
        actor: &Actor,
        key: Option<&str>,
        engine: &str,
        title: &str,
        note: Option<&str>,
        now: Timestamp,
    ) -> Result<Job, RecordError> {
        actor.must(Act::OpenJob)?;
        required("engine", engine)?;
        required("title", title)?;
        self.write(|tx| {
            if let Some(key) = key {
                required("key", key)?;
                if let Some(first) = Event::first_with_key(tx, &actor.person, key)? {
                    return match first.what {
                        Happening::JobOpened(job)
                            if job.engine == engine && job.title == title && job.note.as_deref() == note =>
                        {
                            load(tx, job.job)
                        }
                        _ => Err(RecordError::Conflict { key: key.to_owned(), first: first.seq }),
                    };
                }
            }
            let job = JobId(tx.query_row("SELECT coalesce(max(id), 0) + 1 FROM job", [], |row| row.get(0))?);
            let what = Happening::JobOpened(JobOpened {
                job,
                engine: engine.to_owned(),
                title: title.to_owned(),
                note: note.map(str::to_owned),
            });
            chain::append(tx, actor, key, &what, now)?;
            tx.execute("INSERT INTO job SELECT * FROM derived_job WHERE id = ?", [job.0])?;
            load(tx, job)
        })
    }

    /// Closes a job; what was not reviewed by then leaves the queue. Errors: `NotAllowed`, `NotFound`, `JobClosed`.
    pub fn close_job(
        &self,
        actor: &Actor,
        id: JobId,
        reason: Option<&str>,
        now: Timestamp,
    ) -> Result<Job, RecordError> {
        self.close_job_over(actor, id, Vec::new(), reason, now)
    }

    /// As [`Self::close_job`], over hold points that are open; that takes a reason. Errors: as there, and `Unfit`.
    pub fn close_job_over(
        &self,
        actor: &Actor,
        id: JobId,
        open: Vec<OpenHold>,
        reason: Option<&str>,
        now: Timestamp,
    ) -> Result<Job, RecordError> {
        actor.must(Act::CloseJob)?;
        if !open.is_empty() {
            required("reason", reason.unwrap_or_default())?;
        }
        self.write(|tx| {
            require_open(tx, id)?;
            let what = Happening::JobClosed(JobClosed { job: id, reason: reason.map(str::to_owned), open });
            let seq = chain::append(tx, actor, None, &what, now)?;
            tx.execute("UPDATE job SET closed = ? WHERE id = ?", [seq, id.0])?;
            tx.execute("UPDATE standing SET waiting = 0 WHERE job = ?", [id.0])?;
            load(tx, id)
        })
    }

    /// One job. Errors: `NotFound`.
    pub fn job(&self, id: JobId) -> Result<Job, RecordError> {
        self.read(|tx| load(tx, id))
    }

    /// The jobs that match, newest first.
    pub fn jobs(&self, filter: JobFilter) -> Result<Vec<Job>, RecordError> {
        let which = match filter {
            JobFilter::Open => "WHERE j.closed IS NULL",
            JobFilter::Closed => "WHERE j.closed IS NOT NULL",
            JobFilter::All => "",
        };
        self.read(|tx| {
            tx.prepare_cached(&select(&format!("{which} ORDER BY j.id DESC")))?.query_and_then([], read)?.collect()
        })
    }

    /// Makes a job the one that the actor means, in that channel, when they name none.
    /// Errors: `NotAllowed`, `NotFound`, `JobClosed`.
    pub fn set_current(&self, actor: &Actor, job: JobId) -> Result<(), RecordError> {
        actor.must(Act::Log)?;
        self.write(|tx| {
            require_open(tx, job)?;
            tx.execute(
                "INSERT INTO current_job (person, channel, job) VALUES (?1, ?2, ?3)
                 ON CONFLICT (person, channel) DO UPDATE SET job = ?3",
                (&actor.person, &actor.channel, job.0),
            )?;
            Ok(())
        })
    }

    /// The job that a person means in a channel, if they chose one; it may have been closed since.
    pub fn current(&self, person: &str, channel: &str) -> Result<Option<Job>, RecordError> {
        self.read(|tx| {
            let chosen = tx
                .prepare_cached("SELECT job FROM current_job WHERE person = ? AND channel = ?")?
                .query_row((person, channel), |row| row.get(0).map(JobId))
                .optional()?;
            chosen.map(|id| load(tx, id)).transpose()
        })
    }

    /// The event that opened a job. Errors: `NotFound`.
    pub fn opening(&self, job: JobId) -> Result<Event, RecordError> {
        self.read(|tx| {
            let opened = Event::find(tx, "e.seq = (SELECT opened FROM job WHERE id = ?)", [job.0])?;
            opened.ok_or(RecordError::NotFound { what: "job", id: job.0 })
        })
    }

    /// The number of the last event of a job; 0 where there is no such job.
    pub fn last_event(&self, job: JobId) -> Result<i64, RecordError> {
        let query = "SELECT coalesce(max(seq), 0) FROM event WHERE job = ?";
        self.read(|tx| Ok(tx.prepare_cached(query)?.query_row([job.0], |row| row.get(0))?))
    }

    /// When anything last happened on a job. Errors: `NotFound`.
    pub fn last_touched(&self, job: JobId) -> Result<Timestamp, RecordError> {
        self.read(|tx| {
            let last = Event::find(tx, "e.seq = (SELECT max(seq) FROM event WHERE job = ?)", [job.0])?;
            last.map(|event| event.when).ok_or(RecordError::NotFound { what: "job", id: job.0 })
        })
    }

    /// Everything that happened on a job, in order. Errors: `NotFound`.
    pub fn events(&self, job: JobId) -> Result<Vec<Event>, RecordError> {
        self.read(|tx| {
            load(tx, job)?;
            tx.prepare_cached(&format!("SELECT {} FROM event e WHERE e.job = ? ORDER BY e.seq", Event::columns("e")))?
                .query_and_then([job.0], |row| Event::read(row, 0))?
                .collect()
        })
    }
}

fn select(rest: &str) -> String {
    format!(
        "SELECT {}, {}, j.closed FROM job j JOIN event o ON o.seq = j.opened LEFT JOIN event c ON c.seq = j.closed {rest}",
        Event::columns("o"),
        Event::columns("c"),
    )
}

fn read(row: &Row<'_>) -> Result<Job, RecordError> {
    let mismatch = |seq: i64| RecordError::Damaged { detail: format!("event {seq} is not about a job") };
    let Event { seq, when, by, what, .. } = Event::read(row, 0)?;
    let Happening::JobOpened(opened) = what else { return Err(mismatch(seq)) };
    let mut job = Job {
        id: opened.job,
        engine: opened.engine,
        title: opened.title,
        note: opened.note,
        opened: Mark { by, when },
        closed: None,
        closing_reason: None,
    };
    if row.get::<_, Option<i64>>(2 * Event::WIDTH)?.is_some() {
        let Event { seq, when, by, what, .. } = Event::read(row, Event::WIDTH)?;
        let Happening::JobClosed(closed) = what else { return Err(mismatch(seq)) };
        job.closed = Some(Mark { by, when });
        job.closing_reason = closed.reason;
    }
    Ok(job)
}

pub(super) fn load(conn: &Connection, id: JobId) -> Result<Job, RecordError> {
    let mut found = conn.prepare_cached(&select("WHERE j.id = ?"))?;
    let job = found.query_and_then([id.0], read)?.next();
    job.unwrap_or(Err(RecordError::NotFound { what: "job", id: id.0 }))
}

/// Refuses a job that is not there or is closed.
pub(super) fn require_open(tx: &Connection, id: JobId) -> Result<(), RecordError> {
    let open = tx
        .prepare_cached("SELECT closed IS NULL FROM job WHERE id = ?")?
        .query_row([id.0], |row| row.get::<_, bool>(0))
        .optional()?;
    match open {
        Some(true) => Ok(()),
        Some(false) => Err(RecordError::JobClosed(id)),
        None => Err(RecordError::NotFound { what: "job", id: id.0 }),
    }
}
