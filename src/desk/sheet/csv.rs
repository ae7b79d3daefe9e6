//! The sheet as CSV (RFC 4180): a row for each measure of each reading that counts, and one for each stage that was signed
//! off without any.

use jiff::Timestamp;

use super::{Check, Gap, Measure, Photo, Reading, Sheet, SignedStage, words};
use crate::desk::reply::Value;
use crate::quantity::Dimension;
use crate::record::Gauge;

/// Every column and what stands in it, in order.
pub const COLUMNS: [(&str, &str); 40] = [
    ("job", "number of the job"),
    ("reading", "number of the reading in the record"),
    ("stage", "stage of the rebuild"),
    ("check", "id of the check, as `log` takes it"),
    ("position", "where it was taken; empty for the whole engine"),
    ("typed", "the values as they were typed"),
    ("values", "the same as numbers in `values_unit`, parted by blanks, in the check's order"),
    ("values_unit", "unit of `values`"),
    ("measure", "what was worked out of them; empty where nothing is judged"),
    ("part", "the part its limit is for; empty where it holds everywhere"),
    ("value", "the measure, unrounded, in `unit`"),
    ("min", "the least it was judged by, in `unit`; empty for none"),
    ("max", "the most it was judged by, in `unit`; empty for none"),
    ("unit", "unit of `value`, `min` and `max`"),
    ("verdict", "within, marginal, out or no limit, as judged on that day"),
    ("basis", "what the limit rests on"),
    ("source", "where the limit came from"),
    ("page_revision", "revision of the page it was judged by"),
    ("instrument", "what it was measured with, where said"),
    ("temperature_c", "temperature of the part in degrees Celsius, where said"),
    ("posted_by", "who posted it"),
    ("posted_at", "when, UTC (RFC 3339)"),
    ("review", "accepted, returned, or empty while it waits"),
    ("reviewed_by", "who reviewed it"),
    ("reviewed_at", "when, UTC (RFC 3339)"),
    ("comment", "what the lead said"),
    ("amends", "number of the reading it took the place of"),
    ("note", "remark from the bench"),
    ("uncertainty", "expanded uncertainty (k = 2) of one value, in `values_unit`, of a registered instrument"),
    ("calibration_due", "when the calibration of that instrument was due, as it stood on that day"),
    ("calibration_overdue", "yes where that was past on the day"),
    ("off_standard", "yes where its last check on a standard was off by more than its uncertainty"),
    ("stage_signed", "signed off, over open holds, changed since, or empty while no lead signed the stage off"),
    ("stage_signed_by", "who signed it off"),
    ("stage_signed_at", "when, UTC (RFC 3339)"),
    ("stage_open", "hold points it was signed off over, parted by `|`"),
    ("stage_reason", "why they were gone over"),
    ("job_open", "hold points the job was closed over, parted by `|`"),
    ("photos", "hashes of the photographs beside it, parted by blanks"),
    ("photo_bytes", "how many bytes each of them has, parted by blanks"),
];

/// The file.
pub fn document(sheet: &Sheet) -> String {
    let mut out = row(COLUMNS.iter().map(|(name, _)| (*name).to_owned()));
    for stage in &sheet.stages {
        for check in &stage.checks {
            for reading in &check.readings {
                let line = |measure| cells(sheet, stage.name, check, reading, measure);
                if reading.measures.is_empty() {
                    out += &row(line(None));
                }
                for measure in &reading.measures {
                    out += &row(line(Some(measure)));
                }
            }
        }
    }
    let without = |name: &str| !sheet.stages.iter().any(|stage| stage.name == name);
    for signed in sheet.sign_offs.iter().filter(|signed| without(signed.name)) {
        let mut cells = vec![sheet.job.to_string(), String::new(), signed.name.to_owned()];
        cells.resize(COLUMNS.len() - STAGE_COLUMNS - PHOTO_COLUMNS, String::new());
        cells.extend(stage_cells(sheet, signed.name));
        cells.resize(COLUMNS.len(), String::new());
        out += &row(cells);
    }
    out
}

/// How many columns are about the stage and the job, and how many behind those about photographs.
const STAGE_COLUMNS: usize = 6;
const PHOTO_COLUMNS: usize = 2;

fn stage_cells(sheet: &Sheet, stage: &str) -> [String; STAGE_COLUMNS] {
    let signed = sheet.signed(stage);
    let of = |text: &dyn Fn(&SignedStage) -> String| signed.map(text).unwrap_or_default();
    let gaps = |open: &[Gap]| open.iter().map(|gap| text(&words::gap(gap))).collect::<Vec<_>>().join(" | ");
    let state = |signed: &SignedStage| match (signed.stale, signed.open.is_empty()) {
        (true, _) => "changed since",
        (false, true) => "signed off",
        (false, false) => "over open holds",
    };
    [
        of(&|s| state(s).to_owned()),
        of(&|s| text(&s.by)),
        of(&|s| moment(s.when)),
        of(&|s| gaps(&s.open)),
        of(&|s| text(&s.reason)),
        gaps(&sheet.closed_over),
    ]
}

fn cells(sheet: &Sheet, stage: &str, check: &Check, reading: &Reading, measure: Option<&Measure>) -> Vec<String> {
    let value = |dimension: Dimension, si: f64| Value::si("", dimension, si, sheet.lead);
    let number_of = |dimension, si| number(value(dimension, si).value);
    let of_measure = |text: &dyn Fn(&Measure) -> String| measure.map(text).unwrap_or_default();
    let limit = |bound: Option<f64>| match (measure, bound) {
        (Some(measure), Some(si)) => number_of(measure.dimension, si),
        _ => String::new(),
    };
    let of_gauge = |text: &dyn Fn(&Gauge) -> String| reading.gauge.as_ref().map(text).unwrap_or_default();
    let yes = |so: bool| if so { "yes".to_owned() } else { String::new() };
    let review = reading.review.as_ref();
    let values: Vec<String> = reading.raw.iter().map(|si| number_of(reading.dimension, *si)).collect();
    let of_reading = [
        sheet.job.to_string(),
        reading.number.to_string(),
        stage.to_owned(),
        check.id.to_owned(),
        text(&reading.place),
        text(&reading.typed),
        values.join(" "),
        value(reading.dimension, 0.0).unit,
        of_measure(&|m| m.name.clone()),
        of_measure(&|m| m.part.clone()),
        of_measure(&|m| number_of(m.dimension, m.value)),
        limit(measure.and_then(|m| m.min)),
        limit(measure.and_then(|m| m.max)),
        of_measure(&|m| value(m.dimension, 0.0).unit),
        measure.map_or(reading.verdict, |m| m.verdict).as_str().to_owned(),
        of_measure(&|m| text(&m.basis)),
        of_measure(&|m| text(&m.source)),
        reading.page_revision.clone(),
        text(&reading.instrument),
        reading.temperature.map(|kelvin| number(kelvin - 273.15)).unwrap_or_default(),
        text(&reading.by),
        moment(reading.when),
        review.map(|r| if r.accepted { "accepted" } else { "returned" }).unwrap_or_default().to_owned(),
        review.map(|r| text(&r.by)).unwrap_or_default(),
        review.map(|r| moment(r.when)).unwrap_or_default(),
        review.map(|r| text(&r.comment)).unwrap_or_default(),
        reading.amends.map(|number| number.to_string()).unwrap_or_default(),
        text(&reading.note),
        of_gauge(&|gauge| number_of(reading.dimension, gauge.uncertainty)),
        of_gauge(&|gauge| gauge.due.to_string()),
        of_gauge(&|gauge| yes(gauge.overdue)),
        of_gauge(&|gauge| yes(gauge.off)),
    ];
    let of_photos = |text: &dyn Fn(&Photo) -> String| reading.photos.iter().map(text).collect::<Vec<_>>().join(" ");
    let photos: [String; PHOTO_COLUMNS] = [of_photos(&|p| p.hash.clone()), of_photos(&|p| p.size.to_string())];
    of_reading.into_iter().chain(stage_cells(sheet, stage)).chain(photos).collect()
}

fn moment(when: Timestamp) -> String {
    when.to_string()
}

/// Ten digits: finer than any instrument, and without the tail that a change of unit leaves.
fn number(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let decimals = (9 - value.abs().log10().floor() as i32).clamp(0, 18) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Words people typed, so that no spreadsheet takes them for a formula: those that begin like one get an apostrophe.
fn text(words: &str) -> String {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{words}") } else { words.to_owned() }
}

fn row(cells: impl IntoIterator<Item = String>) -> String {
    let quoted = cells.into_iter().map(|cell| {
        if cell.contains([',', '"', '\n', '\r']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
    });
    quoted.collect::<Vec<_>>().join(",") + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_is_quoted_where_it_must_be_and_never_a_formula() {
        assert_eq!(row(["a".to_owned(), "b, \"c\"".to_owned(), "d\ne".to_owned()]), "a,\"b, \"\"c\"\"\",\"d\ne\"\r\n");
        assert_eq!(text("=1+1"), "'=1+1");
        assert_eq!(text("scored, ran dry"), "scored, ran dry");
    }

    #[test]
    fn a_number_keeps_what_was_measured_and_loses_the_tail() {
        assert_eq!(number(0.1 + 0.2), "0.3");
        assert_eq!(number(-2.2 * 1.1), "-2.42");
        assert_eq!(number(1e-7), "0.0000001");
        assert_eq!(number(0.0), "0");
        assert_eq!(number(310264.0781), "310264.0781");
    }
}
