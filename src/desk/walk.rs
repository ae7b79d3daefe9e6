//! The walk along the measuring plan: one place at a time in the order of the bench, each with its entry.
//!
//! Nothing of a walk is kept. Its lines say where it stands (`next after="bore 3"`, `log bore 4 … --walk`), and what comes
//! next follows from what is posted; a place that was skipped is still open, so it comes round again at the end.

use std::fmt;

use super::commands::log::{check_and_rest, named_check};
use super::form::Grid;
use super::judging::Judging;
use super::posting::{listed, position};
use super::progress::Progress;
use super::reply::{Action, Block, Reply, Verdict};
use super::trouble::{Refusal, Trouble};
use super::{Context, line};
use crate::engine::plan::Check;
use crate::engine::{Engine, Position, measures, positions};
use crate::quantity::{is_unit_word, looks_numeric, show};
use crate::record::{Act, Entry, Job, Reading};

/// One place of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop<'a> {
    pub check: &'a Check,
    pub position: Position,
}

impl fmt::Display for Stop<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.position {
            Position::Engine => f.write_str(self.check.name),
            position => write!(f, "{} {position}", self.check.name),
        }
    }
}

impl<'a> Stop<'a> {
    /// Where a line says that the walk stands: `bore 3`.
    fn read(context: &'a Context, engine: &Engine, text: &str) -> Result<Self, Refusal> {
        let words = line::split(text);
        let (check, rest) = check_and_rest(context, &words)?;
        Ok(Self { check, position: position(engine, check, &rest.join(" "))? })
    }

    fn of(context: &'a Context, engine: &Engine, reading: &Reading) -> Result<Self, Refusal> {
        let check = named_check(context, &reading.measured.check)?;
        Ok(Self { check, position: position(engine, check, &reading.measured.position)? })
    }

    /// Its turn in the order of the work: check by check, and place by place within one.
    fn turn(&self, progress: &Progress) -> (Option<usize>, Option<usize>) {
        let places = positions(progress.engine, self.check.per);
        (progress.plan.order(self.check.id), places.iter().position(|place| *place == self.position))
    }

    /// `bore 3`, `ring-gap "3 top"`, `crank-end-float`: the beginning of a line about it.
    fn words(&self) -> String {
        match self.position.to_string().as_str() {
            "-" => self.check.id.to_owned(),
            place if place.contains(' ') => format!("{} \"{place}\"", self.check.id),
            place => format!("{} {place}", self.check.id),
        }
    }

    /// The line that posts a reading here and goes on, but for the readings; with the instrument at hand, where there is one.
    fn log(&self, job: &Job, instrument: Option<&str>) -> String {
        let with = instrument.map_or(String::new(), |name| format!(" instrument={}", line::quoted(name)));
        format!("log {} job={}{with} --walk", self.words(), job.id.0)
    }

    /// The line that leaves this place for later.
    fn pass(&self, job: &Job) -> String {
        format!("next {} after=\"{}\"", job.id.0, self.words().replace('"', ""))
    }
}

/// What a walk comes to.
enum Ahead<'w> {
    /// The lead sent it back.
    Returned(&'w Entry, Stop<'w>),
    Open(Stop<'w>),
}

impl<'w> Ahead<'w> {
    fn stop(&self) -> &Stop<'w> {
        match self {
            Self::Returned(_, stop) | Self::Open(stop) => stop,
        }
    }
}

/// A job's plan as one person walks it.
pub struct Walk<'a> {
    context: &'a Context<'a>,
    job: &'a Job,
    progress: Progress<'a>,
    open: Vec<Stop<'a>>,
    returned: Vec<(Entry, Stop<'a>)>,
}

impl<'a> Walk<'a> {
    pub fn new(context: &'a Context, job: &'a Job) -> Result<Self, Trouble> {
        let progress = context.progress(job)?;
        let open = progress.wanting().into_iter();
        let open = open.flat_map(|(check, places)| places.into_iter().map(move |position| Stop { check, position }));
        let mut returned = Vec::new();
        for entry in context.desk.record.returned_to(&context.asker.person)? {
            // Once the place was measured again, that one counts.
            let counts = progress.standing().any(|standing| standing.reading.id == entry.reading.id);
            // What has left the plan cannot be measured again.
            let stop = Stop::of(context, progress.engine, &entry.reading).ok();
            if let Some(stop) = stop.filter(|_| entry.reading.measured.job == job.id && counts) {
                returned.push((entry, stop));
            }
        }
        Ok(Self { context, job, open: open.collect(), returned, progress })
    }

    /// What is next, from the top of the plan or after a place that was passed over.
    pub fn next(&self, after: Option<&str>) -> Result<Reply, Trouble> {
        let after = after.map(|text| Stop::read(self.context, self.progress.engine, text)).transpose()?;
        let posted = self.posted();
        let Some(ahead) = self.ahead(after) else {
            return Ok(self.way_out(Reply::new("Every check of the plan has a reading").text(posted)));
        };
        let mut reply = match &ahead {
            Ahead::Returned(entry, stop) => {
                let reply = Reply::new(format!("Came back to you: {stop}: {}", comment(entry)));
                reply.text(format!("{} {}", self.came_back(entry), self.wanted(*stop)?).trim_end())
            }
            Ahead::Open(stop) => {
                let size = self.size(*stop)?.map_or(String::new(), |size| format!(", {size}"));
                Reply::new(format!("Next: {stop}{size}"))
                    .text(format!("{} {}", give(stop.check), self.to_go(stop.check)).trim_end())
            }
        };
        // What came back is done first: nothing stands between it and its boxes.
        let later = match &ahead {
            Ahead::Returned(..) => String::new(),
            Ahead::Open(stop) => self.later(stop.check),
        };
        reply = reply.text(format!("{posted} {later}").trim_end());
        Ok(self.way_out(self.with_entry(reply, &ahead, None)))
    }

    /// The next place in a few words, for a list of jobs.
    pub fn in_brief(&self) -> String {
        match self.ahead(None) {
            Some(Ahead::Returned(_, stop)) => format!("{stop} came back to you"),
            Some(Ahead::Open(stop)) => stop.to_string(),
            None => "every place is filled".to_owned(),
        }
    }

    /// What was posted, and after it the next place with its entry, so that nobody has to ask for it.
    pub fn go_on(&self, mut reply: Reply, last: &Reading, after: Option<Stop>) -> Result<Reply, Trouble> {
        let engine = self.progress.engine;
        let here = Stop::of(self.context, engine, last)?;
        reply.actions.clear();
        if reply.verdict == Some(Verdict::Within) {
            // Nothing to weigh up: the next place comes before figures do.
            reply.blocks.retain(|block| matches!(block, Block::Text(_) | Block::Caution(_)));
        }
        let ahead = self.ahead(after);
        // What it was read with is most likely still in the hand while the check is the same; what may not be used is not offered.
        let off = last.measured.gauge.as_ref().is_some_and(|gauge| gauge.off);
        let instrument = last.measured.instrument.as_deref().filter(|_| !off);
        let at_hand = |stop: &Stop| instrument.filter(|_| stop.check.id == here.check.id);
        reply = match &ahead {
            None => reply.text(format!("Every check of the plan has a reading. {}", self.posted())),
            Some(Ahead::Returned(entry, stop)) => reply
                .block(Block::Heading(format!("Came back to you: {stop}")))
                .text(format!("{}. {} {}", comment(entry), self.came_back(entry), self.wanted(*stop)?).trim_end()),
            Some(Ahead::Open(stop)) => {
                let mut said = vec![self.wanted(*stop)?, self.to_go(stop.check)];
                let mut reply = reply;
                if stop.check.id != here.check.id {
                    said.insert(1, give(stop.check));
                    reply = reply.text(self.done_with(here.check));
                }
                said.extend(at_hand(stop).map(|name| format!("Still with {name}, unless you change it.")));
                said.push(format!("{}.", self.progress.filled()));
                said.retain(|part| !part.is_empty());
                reply.block(Block::Heading(format!("Next: {stop}"))).text(said.join(" "))
            }
        };
        if let Some(ahead) = &ahead {
            reply = self.with_entry(reply, ahead, at_hand(ahead.stop()));
        }
        reply = reply.action(Action::form(format!("Measure {here} again"), here.log(self.job, instrument)));
        if self.may_amend() {
            let typed = &last.measured.typed;
            let line = format!("amend {} {typed} --walk", last.id.0);
            reply = reply.action(Action::form(format!("Correct {here}"), line));
        }
        let waits = self.returned.first().filter(|_| !matches!(ahead, Some(Ahead::Returned(..))));
        if let Some((entry, stop)) = waits {
            reply = reply
                .text(format!("Came back to you: {stop}: {}", comment(entry)))
                .action(Action::send("What came back", format!("next {}", self.job.id.0)));
        }
        Ok(self.way_out(reply))
    }

    /// A returned reading leads, and is passed over as an open place is.
    fn ahead(&self, after: Option<Stop>) -> Option<Ahead<'_>> {
        let returned = |at: usize| self.returned.get(at).map(|(entry, stop)| Ahead::Returned(entry, *stop));
        let first = || self.open.first().copied().map(Ahead::Open);
        let Some(after) = after else { return returned(0).or_else(first) };
        if let Some(at) = self.returned.iter().position(|(_, stop)| *stop == after) {
            return returned(at + 1).or_else(first).or_else(|| returned(0));
        }
        let turn = after.turn(&self.progress);
        let following = self.open.iter().find(|stop| stop.turn(&self.progress) > turn);
        following.copied().map(Ahead::Open).or_else(first).or_else(|| returned(0))
    }

    /// The one entry, and how to leave it for later.
    fn with_entry(&self, reply: Reply, ahead: &Ahead, instrument: Option<&str>) -> Reply {
        let (stop, line) = match ahead {
            Ahead::Returned(entry, stop) if self.may_amend() => {
                (stop, format!("amend {} reason=\"measured again\" --walk", entry.reading.id.0))
            }
            Ahead::Returned(_, stop) | Ahead::Open(stop) => (stop, stop.log(self.job, instrument)),
        };
        // Another job than the one in hand is named, so that nothing is posted to it unseen.
        let current = self.context.job.as_ref().is_none_or(|current| current.id == self.job.id);
        let to = if current { String::new() } else { format!(" to {}", self.job.id) };
        let mut reply = reply
            .action(Action::entry(format!("Post {stop}{to}"), line))
            .action(Action::send(format!("Skip {stop}"), stop.pass(self.job)));
        let last = positions(self.progress.engine, stop.check.per).last().copied();
        let more = self.open.iter().filter(|other| other.check.id == stop.check.id).count() > 1;
        if let (Ahead::Open(_), Some(position), true) = (ahead, last, more) {
            let whole = Stop { check: stop.check, position };
            reply = reply.action(Action::send(format!("Leave {} for later", stop.check.name), whole.pass(self.job)));
        }
        reply
    }

    fn posted(&self) -> String {
        format!("Job {}: {}.", self.job.id, self.progress.filled())
    }

    fn way_out(&self, reply: Reply) -> Reply {
        reply.action(Action::send("Stop, show the job", format!("job show {}", self.job.id.0)))
    }

    // Who may not amend is not offered it.
    fn may_amend(&self) -> bool {
        self.context.desk.role(self.context.asker).may(Act::AmendOwn)
    }

    /// What it should come out at: the limit that holds, else the engine's own size.
    fn size(&self, stop: Stop) -> Result<Option<String>, Trouble> {
        let Stop { check, position } = stop;
        let engine = self.progress.engine;
        let lead = self.context.lead_with(&[], Some(engine));
        let overrides = self.context.overrides(self.job.id)?;
        let (context, job) = (self.context, self.job);
        let judging = Judging { context, job, engine, check, position, overrides: &overrides, with: &[] };
        // The measure that governs stands first; its limit does not hang on the value.
        let whole = vec![1.0; check.readings.len()];
        let governs = measures::measured(check, position, &whole).into_iter().next();
        let held = governs.map(|found| judging.limit(found.measure, found.at, position)).transpose()?.flatten();
        Ok(match (held, check.expected(engine)) {
            (Some(held), _) => Some(held.range(lead)),
            (None, Some(size)) => Some(format!("about {}", show::length(size, lead))),
            (None, None) => None,
        })
    }

    fn wanted(&self, stop: Stop) -> Result<String, Trouble> {
        Ok(self.size(stop)?.map_or(String::new(), |size| format!("Wanted: {size}.")))
    }

    /// Who sent it back, for a value inside is no fault of the value; then what it was.
    fn came_back(&self, entry: &Entry) -> String {
        let measured = &entry.reading.measured;
        let lead = self.context.lead_with(&[], Some(self.progress.engine));
        let low = measured.raw.iter().copied().reduce(f64::min);
        let high = measured.raw.iter().copied().reduce(f64::max);
        let read = match (low, high) {
            (Some(low), Some(high)) if low == high => show::any(measured.dimension, low, lead),
            _ => show::range(measured.dimension, low, high, lead),
        };
        let by = entry.review.as_ref().map_or("The lead", |review| review.by.person.as_str());
        let verdict = match measured.verdict {
            Verdict::Within => ", which is inside",
            Verdict::Marginal => ", which is marginal",
            Verdict::Out => ", which is out",
            Verdict::NoLimit => "",
        };
        format!("{} sent reading {} back; it was {read}{verdict}.", show::capital(by), entry.reading.id)
    }

    fn places(&self, check: &Check) -> Vec<Position> {
        self.open.iter().filter(|stop| stop.check.id == check.id).map(|stop| stop.position).collect()
    }

    fn to_go(&self, check: &Check) -> String {
        match self.places(check).as_slice() {
            [] | [Position::Engine] => String::new(),
            open => format!("{}: {} to go ({}).", check.name, open.len(), listed(open)),
        }
    }

    /// The check is left behind: because all of it is posted, perhaps all of its stage, or for later.
    fn done_with(&self, check: &Check) -> String {
        let stage = self.open.iter().filter(|stop| stop.check.stage == check.stage).count();
        match (self.places(check).len(), stage) {
            (0, 0) => format!("That was the last of “{}”.", check.stage.title()),
            (0, _) => format!("That was the last of {}.", check.name),
            (left, _) => format!("{}: {left} left for later.", check.name),
        }
    }

    /// The checks behind the one at hand, and how much of each is to go.
    fn later(&self, at_hand: &Check) -> String {
        let wanting = self.progress.wanting().into_iter().filter(|(check, _)| check.id != at_hand.id);
        let later: Vec<String> =
            wanting.take(SHOWN).map(|(check, open)| format!("{} ({})", check.name, open.len())).collect();
        if later.is_empty() { String::new() } else { format!("Also to do: {}.", later.join(", ")) }
    }
}

/// So many checks are named beside the one at hand.
const SHOWN: usize = 4;

/// `Give top, middle, bottom, each thrust then axial.`
fn give(check: &Check) -> String {
    let grid = Grid::of("", check.readings, check.least);
    let rows = grid.rows.join(", ");
    match grid.columns.as_slice() {
        [_] if grid.rows.len() == 1 => format!("One reading: {rows}."),
        [_] => format!("Give {rows}."),
        columns => format!("Give {rows}, each {}.", columns.join(" then ")),
    }
}

fn comment(entry: &Entry) -> String {
    let said = entry.review.as_ref().and_then(|review| review.comment.as_deref()).unwrap_or_default();
    said.trim_end_matches('.').to_owned()
}

/// A line of nothing but numbers, typed where an entry was just offered, as the line it fills in. Anything that could be
/// more than readings is left to mean what it says.
pub fn filled_in(entry: &str, typed: &str) -> Option<String> {
    let text = line::tidy(typed).ok()?;
    let tokens = line::split(&text);
    let reading = |token: &String| {
        let unit = token.trim_start_matches(|c: char| !c.is_alphabetic());
        looks_numeric(token) && !token.contains('?') && (unit.is_empty() || is_unit_word(unit))
    };
    (!tokens.is_empty() && tokens.iter().all(reading)).then(|| format!("{entry} {text}"))
}

#[cfg(test)]
mod tests {
    use super::filled_in;

    #[test]
    fn only_numbers_fill_in_an_entry() {
        let entry = "log bore 3 job=1 --walk";
        for typed in [
            "4.0002 4.0001",
            "4.0002in 4.0001 in",
            "4.0002\" 4.0001″",
            ".0185",
            "2.5 thou",
            "5/16 in",
            "-0.002",
            "4,03",
        ] {
            assert!(filled_in(entry, typed).is_some_and(|line| line.starts_with(entry)), "{typed}");
        }
        for typed in [
            "",
            "how round",
            "4.0002 4.0001?",
            "4.030 bore which gap",
            "3 mains or 5",
            "ring gap 4.030in",
            "next",
            "4.03 marine",
            "12 rings",
            "5w30",
            "help",
        ] {
            assert_eq!(filled_in(entry, typed), None, "{typed}");
        }
    }
}
