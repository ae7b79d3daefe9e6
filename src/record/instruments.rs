//! The register of instruments: what the shop measures with, how well, when each was calibrated and how it reads a standard.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row};

use super::{
    Act, Actor, Calibration, Event, Happening, Instrument, InstrumentFacts, InstrumentId, Mark, Noted, Reading, Record,
    RecordError, Retirement, StandardCheck, chain,
    readings::every_repeat,
    trouble::{finite, required},
};
use crate::engine::plain;

const OF_INSTRUMENT: &str = "e.instrument = ? AND e.kind = 'standard-check'";
const LAST_USED: &str = "SELECT payload ->> '$.instrument' FROM event WHERE channel = ? AND check_id = ?
    AND kind = 'reading' AND payload ->> '$.instrument' IS NOT NULL ORDER BY seq DESC LIMIT 1";

impl Record {
    /// Puts an instrument in the register. With a key, a retry by the same person returns the one that the first added.
    /// Errors: `NotAllowed`, `Unfit` (a name that is taken, too), `Conflict`.
    pub fn add_instrument(
        &self,
        actor: &Actor,
        key: Option<&str>,
        facts: InstrumentFacts,
        now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        fit(&facts)?;
        self.write(|tx| {
            let name = plain(&facts.name);
            let what = Happening::InstrumentAdded(facts);
            if let Some(first) = retried(tx, actor, key, &what)? {
                return load(tx, InstrumentId(first));
            }
            if all(tx)?.iter().any(|known| plain(&known.facts.name) == name) {
                return Err(RecordError::Unfit {
                    field: "name",
                    rule: "is that of another instrument, in use or retired",
                });
            }
            let seq = chain::append(tx, actor, key, &what, now)?;
            refresh(tx, InstrumentId(seq))
        })
    }

    /// Notes a calibration. Errors: `NotAllowed`, `NotFound`, `Unfit` (retired, too), `Conflict`.
    pub fn calibrate(
        &self,
        actor: &Actor,
        key: Option<&str>,
        calibration: Calibration,
        now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        calibration.uncertainty.map_or(Ok(()), |value| more_than_nothing("uncertainty", value))?;
        let id = calibration.number;
        self.on_instrument(actor, key, id, Happening::InstrumentCalibrated(calibration), now)
    }

    /// Takes an instrument out of use; its name stays its own. Errors: as [`Self::calibrate`].
    pub fn retire(
        &self,
        actor: &Actor,
        key: Option<&str>,
        id: InstrumentId,
        reason: &str,
        now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        required("reason", reason)?;
        let what = Happening::InstrumentRetired(Retirement { number: id, reason: reason.to_owned() });
        self.on_instrument(actor, key, id, what, now)
    }

    /// Writes down how an instrument read a standard: anyone who may post a reading may. Errors: as [`Self::calibrate`].
    pub fn try_standard(
        &self,
        actor: &Actor,
        key: Option<&str>,
        check: StandardCheck,
        now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::Log)?;
        finite("standard", check.standard)?;
        finite("reading", check.read)?;
        check.temperature.map_or(Ok(()), |value| finite("temperature", value))?;
        self.on_instrument(actor, key, check.number, Happening::StandardCheck(check), now)
    }

    /// One more event about an instrument that is in use.
    fn on_instrument(
        &self,
        actor: &Actor,
        key: Option<&str>,
        id: InstrumentId,
        what: Happening,
        now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        self.write(|tx| {
            if retried(tx, actor, key, &what)?.is_some() {
                return load(tx, id);
            }
            if load(tx, id)?.retired.is_some() {
                return Err(RecordError::Unfit { field: "instrument", rule: "is retired, so nothing is added to it" });
            }
            chain::append(tx, actor, key, &what, now)?;
            refresh(tx, id)
        })
    }

    /// Every instrument there ever was, in the order they were added.
    pub fn instruments(&self) -> Result<Vec<Instrument>, RecordError> {
        self.read(|tx| all(tx))
    }

    /// One instrument's checks against standards, in the order of the days they were done.
    pub fn standard_checks(&self, id: InstrumentId) -> Result<Vec<Noted<StandardCheck>>, RecordError> {
        self.read(|tx| {
            let query = format!("SELECT {} FROM event e WHERE {OF_INSTRUMENT} ORDER BY e.seq", Event::columns("e"));
            let mut found: Vec<Noted<StandardCheck>> =
                tx.prepare_cached(&query)?.query_and_then([id.0], read_check)?.collect::<Result<_, _>>()?;
            // Those of a card that was copied in later go where they belong.
            found.sort_by_key(|check| (check.what.on, check.seq));
            Ok(found)
        })
    }

    /// What was last named in a channel for that check.
    pub fn last_used(&self, channel: &str, check: &str) -> Result<Option<String>, RecordError> {
        self.read(|tx| Ok(tx.prepare_cached(LAST_USED)?.query_row((channel, check), |row| row.get(0)).optional()?))
    }

    /// Every reading of a place that was read more than once, superseded ones too, by place and in the order they were
    /// posted. It tells how people's readings repeat. Errors: `NotAllowed`.
    pub fn repeats(&self, actor: &Actor) -> Result<Vec<Reading>, RecordError> {
        actor.must(Act::SeeSpread)?;
        self.read(|tx| every_repeat(tx))
    }

    /// How warm it is where that person works. Errors: `NotAllowed`, `Unfit`.
    pub fn set_bench_temperature(&self, actor: &Actor, kelvin: f64, now: Timestamp) -> Result<(), RecordError> {
        actor.must(Act::Log)?;
        finite("temperature", kelvin)?;
        self.write(|tx| {
            tx.execute(
                "INSERT INTO bench_temperature (person, channel, kelvin, at) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT (person, channel) DO UPDATE SET kelvin = ?3, at = ?4",
                (&actor.person, &actor.channel, format!("{kelvin:?}"), now.to_string()),
            )?;
            Ok(())
        })
    }

    /// The temperature a person last said in a channel, kelvin, and when.
    pub fn bench_temperature(&self, person: &str, channel: &str) -> Result<Option<(f64, Timestamp)>, RecordError> {
        self.read(|tx| {
            let said: Option<(String, String)> = tx
                .prepare_cached("SELECT kelvin, at FROM bench_temperature WHERE person = ? AND channel = ?")?
                .query_row((person, channel), |row| Ok((row.get(0)?, row.get(1)?)))
                .optional()?;
            // What someone wrote there by hand and cannot be read was not said.
            Ok(said.and_then(|(kelvin, at)| Some((kelvin.parse().ok()?, at.parse().ok()?))))
        })
    }
}

/// The event that these words under this key were first kept as; under the same key other words are refused.
fn retried(tx: &Connection, actor: &Actor, key: Option<&str>, what: &Happening) -> Result<Option<i64>, RecordError> {
    let Some(key) = key else { return Ok(None) };
    required("key", key)?;
    match Event::first_with_key(tx, &actor.person, key)? {
        Some(first) if first.what == *what => Ok(Some(first.seq)),
        Some(first) => Err(RecordError::Conflict { key: key.to_owned(), first: first.seq }),
        None => Ok(None),
    }
}

/// Writes down anew where an instrument stands.
fn refresh(tx: &Connection, id: InstrumentId) -> Result<Instrument, RecordError> {
    tx.prepare_cached("INSERT OR REPLACE INTO instrument SELECT * FROM derived_instrument WHERE added = ?")?
        .execute([id.0])?;
    load(tx, id)
}

fn select(rest: &str) -> String {
    format!(
        "SELECT {}, {}, {}, {} FROM instrument i JOIN event a ON a.seq = i.added
         LEFT JOIN event c ON c.seq = i.calibrated LEFT JOIN event u ON u.seq = i.rated
         LEFT JOIN event r ON r.seq = i.retired {rest}",
        Event::columns("a"),
        Event::columns("c"),
        Event::columns("u"),
        Event::columns("r"),
    )
}

fn load(conn: &Connection, id: InstrumentId) -> Result<Instrument, RecordError> {
    let mut found = conn.prepare_cached(&select("WHERE i.added = ?"))?;
    let instrument = found.query_and_then([id.0], read)?.next();
    instrument.unwrap_or(Err(RecordError::NotFound { what: "instrument", id: id.0 }))
}

fn all(conn: &Connection) -> Result<Vec<Instrument>, RecordError> {
    conn.prepare_cached(&select("ORDER BY i.added"))?.query_and_then([], read)?.collect()
}

fn read(row: &Row<'_>) -> Result<Instrument, RecordError> {
    let mismatch = |seq: i64| RecordError::Damaged { detail: format!("event {seq} is not about an instrument") };
    let later = |from: usize| match row.get::<_, Option<i64>>(from)? {
        Some(_) => Event::read(row, from).map(Some),
        None => Ok(None),
    };
    let Event { seq, when, by, what, .. } = Event::read(row, 0)?;
    let Happening::InstrumentAdded(facts) = what else { return Err(mismatch(seq)) };
    let mut instrument =
        Instrument { id: InstrumentId(seq), facts, added: Mark { by, when }, calibrated: None, retired: None };
    if let Some(Event { seq, when, by, what, .. }) = later(Event::WIDTH)? {
        let Happening::InstrumentCalibrated(calibration) = what else { return Err(mismatch(seq)) };
        instrument.facts.due = calibration.due;
        instrument.calibrated = Some(Noted { seq, by, when, what: calibration });
    }
    if let Some(Event { seq, what, .. }) = later(2 * Event::WIDTH)? {
        let Happening::InstrumentCalibrated(Calibration { uncertainty: Some(rated), .. }) = what else {
            return Err(mismatch(seq));
        };
        instrument.facts.uncertainty = rated;
    }
    if let Some(Event { seq, when, by, what, .. }) = later(3 * Event::WIDTH)? {
        let Happening::InstrumentRetired(retirement) = what else { return Err(mismatch(seq)) };
        instrument.retired = Some(Noted { seq, by, when, what: retirement });
    }
    Ok(instrument)
}

fn read_check(row: &Row<'_>) -> Result<Noted<StandardCheck>, RecordError> {
    let Event { seq, when, by, what, .. } = Event::read(row, 0)?;
    match what {
        Happening::StandardCheck(what) => Ok(Noted { seq, by, when, what }),
        _ => Err(RecordError::Damaged { detail: format!("event {seq} is not a check against a standard") }),
    }
}

fn more_than_nothing(field: &'static str, value: f64) -> Result<(), RecordError> {
    finite(field, value)?;
    if value > 0.0 { Ok(()) } else { Err(RecordError::Unfit { field, rule: "must be more than nothing" }) }
}

/// Refuses facts that no instrument has.
fn fit(facts: &InstrumentFacts) -> Result<(), RecordError> {
    required("name", &facts.name)?;
    required("kind", &facts.sort)?;
    if plain(&facts.name).is_empty() {
        return Err(RecordError::Unfit { field: "name", rule: "has no letter or digit" });
    }
    finite("range", facts.from)?;
    finite("range", facts.to)?;
    more_than_nothing("step", facts.step)?;
    more_than_nothing("uncertainty", facts.uncertainty)?;
    match facts.from < facts.to {
        true => Ok(()),
        false => Err(RecordError::Unfit { field: "range", rule: "has its beginning at or above its end" }),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// However many readings there are, none of these looks at every event; what was said of one instrument is found
    /// through an index and sorted, being little.
    #[test]
    fn no_query_walks_all_events() {
        let record = Record::in_memory().unwrap();
        let checks = format!("SELECT e.seq FROM event e WHERE {OF_INSTRUMENT} ORDER BY e.seq");
        let anew = "SELECT * FROM derived_instrument WHERE added = ?";
        let stands = select("WHERE i.added = ?");
        for (query, index) in [
            (LAST_USED, "event_instrument_used"),
            (&checks, "event_of_instrument"),
            (anew, "event_of_instrument"),
            (&stands, "PRIMARY KEY"),
        ] {
            let plan: Vec<String> = record
                .read(|tx| {
                    let mut explained = tx.prepare(&format!("EXPLAIN QUERY PLAN {query}"))?;
                    let none = vec![rusqlite::types::Null; explained.parameter_count()];
                    let steps = explained.query_map(rusqlite::params_from_iter(none), |row| row.get(3))?;
                    Ok(steps.collect::<Result<_, _>>()?)
                })
                .unwrap();
            assert!(!plan.iter().any(|step| step.starts_with("SCAN")), "{query}: {plan:#?}");
            assert!(plan.iter().any(|step| step.contains(index)), "{query}: {plan:#?}");
        }
    }
}
