//! The card pinned in a job's thread: how the job stands, each mark by a letter as well as by a colour.
//!
//! Plain text and no embed: it then takes no right of its own, and a phone shows it whole in the list of pins.

use super::buttons::Buttons;
use super::limits::{self, size};
use super::mark::escape;
use super::paint::Note;
use super::rows;
use crate::desk::Docket;
use crate::desk::docket::CheckLine;
use crate::drawing::Mark;
use crate::drawing::stages::Mark as StageMark;

/// So many open hold points of a stage are named.
const HOLDS: usize = 3;

/// The card for a docket, with a nonce of its own.
pub fn card(docket: &Docket, nonce: String, buttons: &Buttons) -> Note {
    let (rows, _) = rows::rows(&docket.actions, &[], buttons);
    Note { text: text(docket), rows, nonce, ..Note::default() }
}

/// What the thread is called.
pub fn name(docket: &Docket) -> String {
    let closed = if docket.open { "" } else { ", closed" };
    limits::line(&format!("Job {}{closed}: {}", docket.job, docket.title), limits::THREAD_NAME, "Job")
}

fn text(docket: &Docket) -> String {
    let state = if docket.open { "" } else { ", closed" };
    let mut lines = vec![format!(
        "**Job {}{state}: {}** - {}",
        docket.job,
        escape(&limits::line(&docket.title, limits::TITLE, "-")),
        escape(&limits::line(&docket.engine, limits::TITLE, "-"))
    )];
    if !docket.next.is_empty() {
        lines.push(format!("**{}**", escape(&limits::line(&docket.next, limits::TITLE, "-"))));
    }
    let counts = docket.counts;
    if counts.wanted > 0 {
        let waiting = match counts.waiting {
            0 => String::new(),
            1 => ", 1 waits for the lead".to_owned(),
            n => format!(", {n} wait for the lead"),
        };
        lines.push(format!("{} of {} places filled{waiting}", counts.posted, counts.wanted));
    }
    lines.push(String::new());
    for stage in &docket.stages {
        let mut open: Vec<String> = stage.open.iter().take(HOLDS).map(|hold| escape(hold)).collect();
        if stage.open.len() > HOLDS {
            open.push(format!("{} more", stage.open.len() - HOLDS));
        }
        let open = if open.is_empty() { String::new() } else { format!(": {}", open.join(", ")) };
        lines.push(format!("{} **{}** {}{open}", square(stage.mark), stage.mark.letter(), stage.name));
    }
    if !docket.to_come.is_empty() {
        lines.push(format!("⬜ To come: {}", docket.to_come.join(", ")));
    }
    let all_accepted = |check: &&CheckLine| check.places.iter().all(|(_, mark)| *mark == Mark::Accepted);
    let (done, going): (Vec<&CheckLine>, Vec<_>) = docket.checks.iter().partition(all_accepted);
    let mut foot = Vec::new();
    if !done.is_empty() {
        let names: Vec<String> = done.iter().map(|check| escape(&check.name)).collect();
        foot.push(format!("🟢 ✓ everywhere: {}", names.join(", ")));
    }
    foot.extend(legend(docket));
    fit(lines, going.into_iter().map(row).collect(), foot)
}

/// `**Main journal** 1 🟩W · 2 🟥O · 3 ⬜`; a place is never parted from its mark.
fn row(check: &CheckLine) -> String {
    let places = check.places.iter().map(|(place, mark)| {
        let letter = if *mark == Mark::Open { "" } else { mark.letter() };
        if place == "all" {
            format!("{}{letter}", tile(*mark))
        } else {
            format!("{place}\u{a0}{}{letter}", tile(*mark))
        }
    });
    format!("**{}** {}", escape(&check.name), places.collect::<Vec<_>>().join(" · "))
}

/// As many rows as there is room for between head and foot; those at the end are where the work is, so the first give way.
fn fit(head: Vec<String>, mut rows: Vec<String>, foot: Vec<String>) -> String {
    let all = rows.len();
    loop {
        let left = all - rows.len();
        let more = (left > 0).then(|| format!("… {left} more checks: press “The job”."));
        let gap = (!rows.is_empty()).then(String::new);
        let lines = head.iter().chain(&gap).chain(&more).chain(&rows).chain(&foot);
        let text = lines.map(String::as_str).collect::<Vec<_>>().join("\n");
        if size(&text) <= limits::CONTENT || rows.is_empty() {
            return limits::cut(&text, limits::CONTENT);
        }
        rows.remove(0);
    }
}

/// What the letters mean, of those that are there.
fn legend(docket: &Docket) -> Option<String> {
    let stages = StageMark::ALL.into_iter().filter(|mark| docket.stages.iter().any(|stage| stage.mark == *mark));
    let mut parts: Vec<String> = stages.map(|mark| format!("{} {}", mark.letter(), mark.word())).collect();
    let seen = |mark: &Mark| docket.checks.iter().flat_map(|check| &check.places).any(|(_, one)| one == mark);
    for mark in Mark::ALL.into_iter().filter(|mark| *mark != Mark::Open).filter(seen) {
        let part = format!("{} {}", mark.letter(), mark.word());
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    (!parts.is_empty()).then(|| format!("-# {}", parts.join(", ")))
}

fn square(mark: StageMark) -> &'static str {
    match mark {
        StageMark::Out => "🟥",
        StageMark::Held => "🟧",
        StageMark::Posted => "🟦",
        StageMark::Accepted => "🟩",
        StageMark::SignedOff => "🟢",
        StageMark::GoneOver | StageMark::Changed => "🟨",
        StageMark::ToCome => "⬜",
    }
}

fn tile(mark: Mark) -> &'static str {
    match mark {
        Mark::Within => "🟩",
        Mark::Accepted => "🟢",
        Mark::Marginal => "🟧",
        Mark::Out | Mark::Returned => "🟥",
        Mark::NoLimit => "🟦",
        Mark::Open => "⬜",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::docket::{Counts, StageLine};
    use crate::desk::notices::JobId;
    use crate::desk::reply::Action;

    fn docket(checks: usize) -> Docket {
        let places = |of: usize| {
            let mark = |place: usize| if place + of < 6 { Mark::Within } else { Mark::Open };
            (1..=8).map(|place| (place.to_string(), mark(place))).collect()
        };
        Docket {
            job: JobId(1),
            title: "@everyone *launch*".to_owned(),
            engine: "Skerry V8".to_owned(),
            open: true,
            next: "Next: Main journal 4, 2.4495 to 2.4500 in".to_owned(),
            actions: vec![Action::send("The job", "job show 1")],
            counts: Counts { posted: 12, wanted: 88, waiting: 1 },
            stages: vec![StageLine { name: "Measure the block", mark: StageMark::Out, open: Vec::new() }],
            to_come: vec!["Balance"],
            checks: (0..checks)
                .map(|n| CheckLine { name: format!("Check of a long name {n}"), places: places(n) })
                .collect(),
        }
    }

    #[test]
    fn the_answer_stands_first_and_every_mark_has_its_letter() {
        let card = card(&docket(1), "c".to_owned(), &Buttons::default());
        let lines: Vec<&str> = card.text.lines().collect();
        assert_eq!(lines[0], r"**Job #1: \@everyone \*launch\*** - Skerry V8");
        assert_eq!(lines[1], "**Next: Main journal 4, 2.4495 to 2.4500 in**");
        assert_eq!(lines[2], "12 of 88 places filled, 1 waits for the lead");
        assert!(lines.contains(&"🟥 **O** Measure the block"), "{}", card.text);
        assert!(card.text.contains("1\u{a0}🟩W · 2\u{a0}🟩W") && card.text.contains("8\u{a0}⬜"), "{}", card.text);
        assert_eq!(lines.last(), Some(&"-# O out, W within"));
    }

    #[test]
    fn a_long_job_fits_and_says_what_is_left_off() {
        let card = card(&docket(40), "c".to_owned(), &Buttons::default());
        assert!(size(&card.text) <= limits::CONTENT);
        assert!(card.text.contains("more checks: press “The job”"), "{}", card.text);
        assert!(card.text.contains("long name 39") && !card.text.contains("long name 0*"), "{}", card.text);
    }
}
