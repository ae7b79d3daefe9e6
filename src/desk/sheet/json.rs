//! The sheet as JSON, for programs: numbers unrounded in the unit that stands beside them.

use serde_json::{Value as Json, json};

use super::{Gap, Measure, Reading, Review, Sheet};
use crate::desk::Trouble;
use crate::desk::reply::Value;
use crate::quantity::Dimension;

/// Every key at the top and what it holds.
pub const KEYS: [(&str, &str); 21] = [
    ("form", "name and version of this layout: keys may be added, none is renamed or removed"),
    ("shop", "the shop's name"),
    ("demo", "true where shop, engine and readings are invented"),
    ("job", "number of the job"),
    ("title", "what the job is called"),
    ("engine", "id of the engine's page"),
    ("closed", "false while the job is open and the sheet not final"),
    ("identity", "label and value, as printed"),
    ("count", "planned, posted, accepted, marginal, out"),
    ("readings", "every reading that counts, with its measures, limits, verdicts, review, photographs"),
    ("instruments", "what the readings were taken with, and how that stood on their day"),
    ("changes", "amendments, limits set for the job, readings let pass, hold points gone over: what, reason, by, at"),
    ("notes", "remarks from the bench: at, text, by"),
    ("missing", "checks of the plan without a reading: check, places"),
    ("sources", "where the limits came from"),
    ("acceptances", "who accepted: by, role, readings, first, last"),
    ("sign_offs", "stages signed off: stage, by, role, at, stale where changed since, readings, open, reason"),
    ("closed_over", "hold points that were open when the job was closed: check, name, missing, waiting"),
    ("seal", "event and hash of the job's last event, and what the code says"),
    ("advice", "caution, text and steps for the owner, and the page they come from"),
    ("printed", "when it was made, UTC"),
];

/// The file.
pub fn document(sheet: &Sheet) -> Result<Vec<u8>, Trouble> {
    let of_stage = |stage: &super::Stage| {
        let name = stage.name;
        let checks = stage.checks.iter();
        checks.flat_map(move |c| c.readings.iter().map(move |r| reading(sheet, name, c, r))).collect::<Vec<_>>()
    };
    let count = sheet.count;
    let whole = json!({
        "form": "gudgeon build sheet 1",
        "shop": sheet.shop,
        "demo": sheet.demo,
        "job": sheet.job,
        "title": sheet.title,
        "engine": sheet.engine,
        "closed": sheet.closed,
        "identity": sheet.identity.iter().map(|(label, value)| json!({ "label": label, "value": value })).collect::<Vec<_>>(),
        "count": {
            "planned": count.planned, "posted": count.posted, "accepted": count.accepted,
            "marginal": count.marginal, "out": count.out,
        },
        "readings": sheet.stages.iter().flat_map(of_stage).collect::<Vec<_>>(),
        "instruments": sheet.instruments,
        "changes": sheet.changes.iter().map(|c| json!({
            "what": c.what, "reason": c.reason, "by": c.by, "at": c.when.to_string(),
        })).collect::<Vec<_>>(),
        "notes": sheet.notes.iter().map(|n| json!({ "at": n.at, "text": n.text, "by": n.by })).collect::<Vec<_>>(),
        "missing": sheet.missing.iter().map(|(check, places)| json!({ "check": check, "places": places })).collect::<Vec<_>>(),
        "sources": sheet.sources,
        "acceptances": sheet.acceptances.iter().map(|a| json!({
            "by": a.by, "role": a.role, "readings": a.readings, "first": a.first.to_string(), "last": a.last.to_string(),
        })).collect::<Vec<_>>(),
        "sign_offs": sheet.sign_offs.iter().map(|s| json!({
            "stage": s.name, "by": s.by, "role": s.role, "at": s.when.to_string(), "stale": s.stale,
            "readings": s.readings, "open": s.open.iter().map(gap).collect::<Vec<_>>(), "reason": s.reason,
        })).collect::<Vec<_>>(),
        "closed_over": sheet.closed_over.iter().map(gap).collect::<Vec<_>>(),
        "seal": { "event": sheet.seal.event, "hash": sheet.seal.hash, "code": sheet.seal.code },
        "advice": {
            "caution": sheet.advice.caution, "text": sheet.advice.text, "steps": sheet.advice.steps,
            "source": sheet.advice.source,
        },
        "printed": sheet.printed.to_string(),
    });
    serde_json::to_vec_pretty(&whole).map_err(|error| Trouble::Fault(error.into()))
}

fn gap(gap: &Gap) -> Json {
    json!({ "check": gap.check, "name": gap.name, "missing": gap.missing, "waiting": gap.waiting })
}

fn reading(sheet: &Sheet, stage: &str, check: &super::Check, reading: &Reading) -> Json {
    let in_unit = |dimension: Dimension, si: f64| Value::si("", dimension, si, sheet.lead);
    let measure = |m: &Measure| {
        let number = |si: f64| in_unit(m.dimension, si).value;
        json!({
            "measure": m.name, "part": m.part, "value": number(m.value), "min": m.min.map(number), "max": m.max.map(number),
            "unit": in_unit(m.dimension, 0.0).unit, "verdict": m.verdict.as_str(), "basis": m.basis, "source": m.source,
        })
    };
    let review =
        |r: &Review| json!({ "accepted": r.accepted, "by": r.by, "at": r.when.to_string(), "comment": r.comment });
    json!({
        "reading": reading.number,
        "stage": stage,
        "check": check.id,
        "name": check.name,
        "position": reading.place,
        "order": check.order.iter().take(reading.raw.len()).collect::<Vec<_>>(),
        "typed": reading.typed,
        "values": reading.raw.iter().map(|si| in_unit(reading.dimension, *si).value).collect::<Vec<_>>(),
        "unit": in_unit(reading.dimension, 0.0).unit,
        "measures": reading.measures.iter().map(measure).collect::<Vec<_>>(),
        "verdict": reading.verdict.as_str(),
        "instrument": reading.instrument,
        "gauge": reading.gauge.as_ref().map(|gauge| json!({
            "uncertainty": in_unit(reading.dimension, gauge.uncertainty).value, "due": gauge.due.to_string(),
            "overdue": gauge.overdue, "off_standard": gauge.off,
        })),
        "temperature_c": reading.temperature.map(|kelvin| kelvin - 273.15),
        "by": reading.by,
        "at": reading.when.to_string(),
        "review": reading.review.as_ref().map(review),
        "amends": reading.amends,
        "note": reading.note,
        "photo": reading.photo,
        "photos": reading.photos.iter().map(|p| json!({
            "hash": p.hash, "media": p.media, "bytes": p.size, "width": p.width, "height": p.height, "reading": p.of,
            "by": p.by, "at": p.when.to_string(),
        })).collect::<Vec<_>>(),
        "page_revision": reading.page_revision,
    })
}
