//! From the record and the library to the sheet's plain data.

use crate::desk::commands::log::dimension_of;
use crate::desk::gauges;
use crate::desk::holds::{Signed, StageHolds};
use crate::desk::progress::Progress;
use crate::desk::recorded::{day, moment};
use crate::desk::reply::Verdict;
use crate::desk::{Context, Trouble};
use crate::drawing::photo::small;
use crate::drawing::qr;
use crate::engine::plan::Plan;
use crate::engine::{self, Engine, Rotation, positions};
use crate::quantity::{System, show};
use crate::record::{Decision, Entry, Event, Happening, Job, Measured, OpenHold, ReadingId};

use super::words::gone_over;
use super::{
    Acceptance, Change, Check, Count, Gap, Measure, Note, PHOTOS_ACROSS, Photo, Reading, Review, Seal, Sheet,
    SignedStage, Stage, advice, figures,
};

/// The sheet of a job as it stands now; photographs are drawn only where they are `shown`.
pub fn gather(context: &Context, job: &Job, shown: bool) -> Result<Sheet, Trouble> {
    let progress = context.progress(job)?;
    let engine = progress.engine;
    let lead = context.lead_with(&[], Some(engine));
    let events = context.desk.record.events(job.id)?;
    let mut stages = stages(&progress);
    photos(context, job, &mut stages, shown)?;
    let readings = || stages.iter().flat_map(Stage::readings);
    let (posted, planned) = progress.counts();
    let count = Count {
        planned,
        posted,
        accepted: readings().filter(|r| r.is_accepted()).count(),
        marginal: readings().filter(|r| r.verdict == Verdict::Marginal).count(),
        out: readings().filter(|r| r.verdict == Verdict::Out).count(),
    };
    let settings = context.desk.settings();
    let seal = seal(&settings.address, job, events.last());
    let holds = context.holds(job)?;
    Ok(Sheet {
        shop: settings.shop.clone(),
        demo: settings.demo,
        job: job.id.0,
        title: job.title.clone(),
        engine: job.engine.clone(),
        lead,
        closed: !job.is_open(),
        identity: identity(job, engine, lead),
        count,
        instruments: gauges::used(progress.standing().map(|entry| &entry.reading.measured), lead),
        notes: notes(&stages),
        changes: changes(progress.plan, &events, lead),
        missing: progress.wanting().iter().map(|(check, open)| (check.name, open.len())).collect(),
        sources: sources(&stages),
        figures: figures::draw(&stages, engine, lead),
        advice: advice::of(&context.library, engine),
        acceptances: acceptances(&progress),
        sign_offs: holds.stages.iter().filter_map(|stage| sign_off(progress.plan, stage)).collect(),
        closed_over: closed_over(progress.plan, &events),
        stages,
        seal,
        printed: context.now,
    })
}

fn identity(job: &Job, engine: &Engine, lead: System) -> Vec<(String, String)> {
    let order = engine.firing_order.iter().map(u8::to_string).collect::<Vec<_>>().join("-");
    let turns = match engine.rotation {
        Rotation::Clockwise => "clockwise, seen from the front",
        Rotation::CounterClockwise => "counter-clockwise, seen from the front",
    };
    let mut all = vec![
        ("Engine", format!("{}, {} cylinders, {} duty", engine.title, engine.cylinders(), engine.duty.word())),
        (
            "Bore x stroke",
            format!("{} x {}, standard", show::length(engine.bore, lead), show::length(engine.stroke, lead)),
        ),
        ("Turns", turns.to_owned()),
        ("Fires", order),
        ("Opened", format!("{} by {}", day(job.opened.when), job.opened.by.person)),
    ];
    match &job.closed {
        Some(closed) => all.push(("Closed", format!("{} by {}", day(closed.when), closed.by.person))),
        None => all.push(("State", "open: this sheet is not final".to_owned())),
    }
    all.extend(job.closing_reason.clone().map(|reason| ("Closed because", reason)));
    all.extend(job.note.clone().map(|note| ("Asked for", note)));
    all.into_iter().map(|(label, value)| (label.to_owned(), value)).collect()
}

/// Where readings stand whose check was taken off the shelf.
const GONE: &str = "No longer in the plan";

/// The readings that count, by stage and check in the order of the work.
fn stages(progress: &Progress) -> Vec<Stage> {
    let mut stages: Vec<Stage> = Vec::new();
    for entry in progress.standing() {
        let id = &entry.reading.measured.check;
        let planned = progress.plan.check(id);
        let stage = planned.map_or(GONE, |check| check.stage.title());
        if stages.last().is_none_or(|last| last.name != stage) {
            stages.push(Stage { name: stage, checks: Vec::new() });
        }
        let Some(checks) = stages.last_mut().map(|last| &mut last.checks) else { continue };
        if checks.last().is_none_or(|last| last.id != *id) {
            let (name, order) = planned.map_or((id.as_str(), &[][..]), |check| (check.name, check.readings));
            checks.push(Check { id: id.clone(), name: name.to_owned(), order, readings: Vec::new() });
        }
        if let Some(last) = checks.last_mut() {
            last.readings.push(reading(entry));
        }
    }
    for check in stages.iter_mut().flat_map(|stage| &mut stage.checks) {
        in_order_of_work(check, progress);
    }
    stages
}

/// As a person goes round the engine: intake before exhaust, top ring before second.
fn in_order_of_work(check: &mut Check, progress: &Progress) {
    let Some(planned) = progress.plan.check(&check.id) else { return };
    let order: Vec<String> =
        positions(progress.engine, planned.per).iter().map(|p| unless_dash(&p.to_string())).collect();
    check.readings.sort_by_key(|reading| order.iter().position(|place| *place == reading.place));
}

/// `-` is how the record writes that there is only one place, or that a limit holds everywhere.
fn unless_dash(text: &str) -> String {
    if text == "-" { String::new() } else { text.to_owned() }
}

fn reading(entry: &Entry) -> Reading {
    let read = &entry.reading;
    let measured = &read.measured;
    let measure = |judged: &crate::record::Judged| Measure {
        name: judged.measure.clone(),
        part: unless_dash(&judged.at),
        dimension: dimension_of(judged, measured.dimension),
        value: judged.value,
        min: judged.min,
        max: judged.max,
        verdict: judged.verdict,
        basis: judged.basis.clone(),
        source: judged.source.clone(),
    };
    Reading {
        number: read.id.0,
        place: unless_dash(&measured.position),
        dimension: measured.dimension,
        raw: measured.raw.clone(),
        typed: measured.typed.clone(),
        measures: measured.measures.iter().map(measure).collect(),
        verdict: measured.verdict,
        instrument: measured.instrument.clone().unwrap_or_default(),
        gauge: measured.gauge.clone(),
        temperature: measured.temperature,
        by: read.by.person.clone(),
        when: read.when,
        review: entry.review.as_ref().map(|review| Review {
            accepted: review.decision == Decision::Accepted,
            by: review.by.person.clone(),
            when: review.when,
            comment: review.comment.clone().unwrap_or_default(),
        }),
        amends: read.amends.as_ref().map(|amends| amends.reading.0),
        note: measured.note.clone().unwrap_or_default(),
        photo: measured.photo.clone().unwrap_or_default(),
        photos: Vec::new(),
        page_revision: measured.page_revision.clone(),
    }
}

/// Puts the photographs to their readings.
fn photos(context: &Context, job: &Job, stages: &mut [Stage], shown: bool) -> Result<(), Trouble> {
    let record = &context.desk.record;
    if record.photos_of_job(job.id)?.is_empty() {
        return Ok(());
    }
    let readings = stages.iter_mut().flat_map(|stage| &mut stage.checks).flat_map(|check| &mut check.readings);
    for reading in readings {
        let drawn = shown && reading.is_accepted();
        for (at, photo) in record.photos(ReadingId(reading.number))?.into_iter().enumerate() {
            let bytes = if drawn && at < PHOTOS_ACROSS { record.photo(&photo.what.hash)? } else { None };
            reading.photos.push(Photo {
                media: photo.what.media.word(),
                size: photo.what.size,
                width: photo.what.width,
                height: photo.what.height,
                of: photo.what.of.0,
                by: photo.by.person,
                when: photo.when,
                // One that no decoder can take apart leaves the sheet its words.
                small: bytes.and_then(|(_, bytes)| small(&bytes, SMALL_SIDE).ok()),
                hash: photo.what.hash,
            });
        }
    }
    Ok(())
}

/// The longer side of a photograph on the sheet, in pixels: 300 to the inch at a quarter of the page's width.
const SMALL_SIDE: u32 = 520;

fn notes(stages: &[Stage]) -> Vec<Note> {
    let all = stages.iter().flat_map(|stage| &stage.checks);
    all.flat_map(|check| check.readings.iter().map(move |reading| (check, reading)))
        .filter(|(_, reading)| !reading.note.is_empty())
        .map(|(check, reading)| Note {
            at: format!("{} {}", check.name, reading.place).trim_end().to_owned(),
            text: reading.note.clone(),
            by: format!("{}, {}", reading.by, moment(reading.when)),
        })
        .collect()
}

/// Where the limits of these readings came from, each said once.
fn sources(stages: &[Stage]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let measures = stages.iter().flat_map(Stage::readings).flat_map(|reading| &reading.measures);
    for measure in measures.filter(|m| !m.source.is_empty()) {
        let source = format!("{} ({})", measure.source, measure.basis);
        if !found.contains(&source) {
            found.push(source);
        }
    }
    found
}

/// `Bore 3`.
fn place_of(plan: &Plan, measured: &Measured) -> String {
    format!("{} {}", plan.name_of(&measured.check), unless_dash(&measured.position)).trim_end().to_owned()
}

/// The values of a reading in a row, each with its unit.
fn read(measured: &Measured, lead: System) -> String {
    let values: Vec<String> = measured.raw.iter().map(|si| show::any(measured.dimension, *si, lead)).collect();
    values.join(", ")
}

/// What has to stay visible: amendments with both values, what was let pass, limits set for this job, hold points gone
/// over, a closing with a reason.
fn changes(plan: &Plan, events: &[Event], lead: System) -> Vec<Change> {
    let earlier = |number: i64| {
        events.iter().find(|event| event.seq == number).and_then(|event| match &event.what {
            Happening::Reading(posting) => Some(&posting.measured),
            _ => None,
        })
    };
    let change = |event: &Event| {
        let (what, reason) = match &event.what {
            Happening::Reading(posting) => {
                let amends = posting.amends.as_ref()?;
                let was = read(earlier(amends.reading.0)?, lead);
                let (now, number) = (read(&posting.measured, lead), amends.reading);
                let place = place_of(plan, &posting.measured);
                let words = format!("{place} amended: reading {number} was {was}, reading {} is {now}", event.seq);
                (words, amends.reason.clone())
            }
            Happening::Review(review) if review.decision == Decision::Accepted => {
                let measured = earlier(review.reading.0).filter(|measured| measured.verdict == Verdict::Out)?;
                let words = format!("{} accepted out of limits: {}", place_of(plan, measured), read(measured, lead));
                (words, review.comment.clone()?)
            }
            Happening::LimitOverridden(own) => {
                let dimension = plan.measure(&own.measure)?.dimension;
                let range = show::range(dimension, own.min, own.max, lead);
                let name = format!("{} {}", own.measure, unless_dash(&own.at));
                (format!("Limit set for this job: {}, {range}", name.trim_end()), own.reason.clone())
            }
            Happening::StageSigned(signed) if !signed.open.is_empty() => {
                let stage = engine::Stage::named(&signed.stage)?.title();
                (format!("{stage} signed off over {}", gone_over(&gaps(plan, &signed.open))), signed.reason.clone()?)
            }
            Happening::JobClosed(closed) if !closed.open.is_empty() => {
                (format!("Job closed over {}", gone_over(&gaps(plan, &closed.open))), closed.reason.clone()?)
            }
            Happening::JobClosed(closed) => ("Job closed".to_owned(), closed.reason.clone()?),
            _ => return None,
        };
        Some(Change { what, reason, by: event.by.person.clone(), when: event.when })
    };
    events.iter().filter_map(change).collect()
}

fn gaps(plan: &Plan, open: &[OpenHold]) -> Vec<Gap> {
    let gap = |hold: &OpenHold| Gap {
        check: hold.check.clone(),
        name: plan.name_of(&hold.check).to_owned(),
        missing: hold.missing.clone(),
        waiting: hold.waiting.clone(),
    };
    open.iter().map(gap).collect()
}

fn sign_off(plan: &Plan, stage: &StageHolds) -> Option<SignedStage> {
    let Signed { sign_off, stale } = stage.signed.as_ref()?;
    Some(SignedStage {
        name: stage.stage.title(),
        by: sign_off.by.person.clone(),
        role: sign_off.by.role.word(),
        when: sign_off.when,
        stale: *stale,
        readings: sign_off.signed.readings.iter().map(|reading| reading.0).collect(),
        open: gaps(plan, &sign_off.signed.open),
        reason: sign_off.signed.reason.clone().unwrap_or_default(),
    })
}

fn closed_over(plan: &Plan, events: &[Event]) -> Vec<Gap> {
    let closed = events.iter().rev().find_map(|event| match &event.what {
        Happening::JobClosed(closed) => Some(gaps(plan, &closed.open)),
        _ => None,
    });
    closed.unwrap_or_default()
}

/// Who accepted the readings that count, in the order they first did.
fn acceptances(progress: &Progress) -> Vec<Acceptance> {
    let mut all: Vec<Acceptance> = Vec::new();
    for review in progress.standing().filter_map(|entry| entry.review.as_ref()) {
        if review.decision != Decision::Accepted {
            continue;
        }
        match all.iter_mut().find(|one| one.by == review.by.person) {
            Some(one) => {
                one.readings += 1;
                one.first = one.first.min(review.when);
                one.last = one.last.max(review.when);
            }
            None => all.push(Acceptance {
                by: review.by.person.clone(),
                role: review.by.role.word(),
                readings: 1,
                first: review.when,
                last: review.when,
            }),
        }
    }
    all.sort_by_key(|one| one.first);
    all
}

fn seal(address: &str, job: &Job, last: Option<&Event>) -> Seal {
    let (event, hash) = last.map(|event| (event.seq, event.hash.to_hex().to_string())).unwrap_or_default();
    let address = address.trim_end_matches('/');
    let code = if address.is_empty() {
        format!("Job {}, event {event}, seal {hash}", job.id)
    } else {
        format!("{address}/sheet/{}", job.id.0)
    };
    // An address too long for any code is still printed in words.
    let drawn = qr::draw(&code, &format!("Code that opens job {}", job.id)).ok();
    Seal { event, hash, code, drawn }
}
