//! `bearing pick clearance="0.0036 0.0031 0.0019 in" min=0.0020in max=0.0032in`, or from housing, shell wall and journal: which
//! half-shells bring each bearing nearest the middle of its limits.

use clap::Args;

use super::clearance::{BearingName, likeliest};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::{OrRefuse, renamed};
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::clearance::{oil, shelled};
use crate::maths::shells::{self, Mix, Picked};
use crate::quantity::{Given, Length, Measure, System, show};

/// Clearances with standard shells, or what they come of; the shells on the shelf; the limits.
#[derive(Debug, Args)]
#[command(after_help = "bearing pick clearance=\"0.0036 0.0027 0.0019 in\" min=0.0020in max=0.0032in")]
pub struct Pick {
    /// Clearance of each bearing with standard shells, in their order.
    #[arg(long)]
    pub clearance: Vec<Given<Length>>,
    /// Or each housing bore, torqued, without shells.
    #[arg(long, conflicts_with = "clearance")]
    pub housing: Vec<Given<Length>>,
    /// Wall of a standard half-shell at its middle.
    #[arg(long, conflicts_with = "clearance")]
    pub wall: Option<Given<Length>>,
    /// And each journal, its largest reading.
    #[arg(long, conflicts_with = "clearance")]
    pub journal: Vec<Given<Length>>,
    /// Shells on the shelf by their undersize mark; 0 is standard, a minus is oversize.
    #[arg(long, allow_hyphen_values = true)]
    pub shells: Vec<Given<Length>>,
    /// Least clearance wanted; the limit's where left out.
    #[arg(long)]
    pub min: Option<Given<Length>>,
    /// Most clearance wanted; the limit's where left out.
    #[arg(long)]
    pub max: Option<Given<Length>>,
    /// Which bearing, for its limits; told by the journal's size where the engine has one near it.
    #[arg(long)]
    pub of: Option<BearingName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The limits picked by, and where they come from.
struct Limits {
    min: Length,
    max: Length,
    from: String,
}

impl Pick {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let all = || self.clearance.iter().chain(&self.housing).chain(&self.journal);
        let unit = |given: &[Given<Length>]| context.shared_unit(given);
        let ends = self.min.iter().chain(&self.max).find_map(Given::system);
        let lean = all().find_map(Given::system).or(ends).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let (standard, journal) = self.standard(context, lean)?;
        let limits = self.limits(context, engine, journal, (lean, lead))?;
        let marks = match self.shells.is_empty() {
            true => shelf(lead),
            false => context.quantities("shells", &self.shells, unit(&self.shells).or(lean))?,
        };
        let mut typed = Vec::new();
        for (name, given) in [("clearance", &self.clearance), ("shells", &self.shells)] {
            typed.extend(given.iter().map(|g| (name, g.written())));
        }
        typed.extend(self.min.as_ref().map(|g| ("min", g.written())));
        typed.extend(self.max.as_ref().map(|g| ("max", g.written())));
        let picked = shells::pick(&standard, &marks, limits.min, limits.max).or_refuse(&typed)?;
        Ok(answer(&picked, &marks, &limits, self.shells.is_empty(), lead))
    }

    /// The clearance of each bearing with standard halves, and a journal size where one was given.
    fn standard(&self, context: &Context, lean: Option<System>) -> Result<(Vec<Length>, Option<Length>), Trouble> {
        if !self.clearance.is_empty() {
            return Ok((context.quantities("clearance", &self.clearance, lean)?, None));
        }
        let housings = context.quantities("housing", &self.housing, lean)?;
        let journals = context.quantities("journal", &self.journal, lean)?;
        let missing = |input| {
            Refusal::new(
                input,
                "",
                "Give clearance= of each bearing with standard shells; or housing=, wall= and journal=.",
            )
        };
        if housings.is_empty() && journals.is_empty() {
            return Err(missing("clearance").into());
        }
        let Some(wall) = &self.wall else { return Err(missing("wall").into()) };
        if housings.is_empty() {
            return Err(missing("housing").into());
        }
        if journals.is_empty() {
            return Err(missing("journal").into());
        }
        if housings.len() != 1 && housings.len() != journals.len() {
            let possible = format!("One each: {} housings came and {} journals.", housings.len(), journals.len());
            return Err(Refusal::new("housing", "", possible).into());
        }
        let walls = [context.quantity("wall", wall, lean)?];
        let mut standard = Vec::new();
        for (at, journal) in journals.iter().enumerate() {
            let place = if housings.len() == 1 { 0 } else { at };
            let typed = [
                ("housing", self.housing[place].written()),
                ("shell", wall.written()),
                ("journal", self.journal[at].written()),
            ];
            let inside = shelled(&[housings[place]], &walls).or_refuse(&typed).map_err(|trouble| match trouble {
                Trouble::Refused(refusal) if refusal.input == "shell" => renamed(refusal.into(), "wall"),
                other => other,
            })?;
            standard.push(oil(&inside.inside, &[*journal]).or_refuse(&typed)?.mean);
        }
        Ok((standard, journals.first().copied()))
    }

    fn limits(
        &self,
        context: &Context,
        engine: Option<&Engine>,
        journal: Option<Length>,
        (lean, lead): (Option<System>, System),
    ) -> Result<Limits, Trouble> {
        let end =
            |name, given: &Option<Given<Length>>| given.as_ref().map(|g| context.quantity(name, g, lean)).transpose();
        let (min, max) = (end("min", &self.min)?, end("max", &self.max)?);
        if let (Some(min), Some(max)) = (min, max) {
            return Ok(Limits {
                min,
                max,
                from: format!("{}, as given", show::length_range(Some(min), Some(max), lead)),
            });
        }
        let of = self.of.unwrap_or_else(|| journal.map_or(BearingName::Main, |j| likeliest(engine, j)));
        let own = |e: &Engine| match of {
            BearingName::Main => e.main_journal,
            BearingName::Rod => e.rod_journal,
        };
        // A clearance alone does not tell whether the job's engine is meant.
        let engine = match journal {
            Some(journal) => context.engine_for(self.engine.as_ref(), journal, own, None)?,
            None => engine,
        };
        let measure = match of {
            BearingName::Main => "main oil clearance",
            BearingName::Rod => "rod oil clearance",
        };
        let size = journal.or(engine.and_then(own));
        let sizes = Sizes { main_journal: size, rod_journal: size, ..Sizes::default() };
        let held = context.limit(Wanted { measure, at: "-", engine, duty: None, sizes, overrides: None });
        let found = held.as_ref().and_then(|held| Some((held.bounds.min?, held.bounds.max?, held.said(lead))));
        match (found, min, max) {
            (Some((low, high, said)), None, None) => {
                Ok(Limits { min: Length::from_si(low), max: Length::from_si(high), from: said })
            }
            (Some((low, high, said)), min, max) => {
                let (min, max) = (min.unwrap_or(Length::from_si(low)), max.unwrap_or(Length::from_si(high)));
                let range = show::length_range(Some(min), Some(max), lead);
                Ok(Limits { min, max, from: format!("{range}; one end given, the other {said}") })
            }
            (None, Some(_), None) => {
                Err(Refusal::new("max", "", "Beside min= goes max=; or engine= for its limits.").into())
            }
            _ => Err(Refusal::new("min", "", "The limits to pick by: min= and max=, or engine= for its own.").into()),
        }
    }
}

/// What many engines' shells can be had in for fine fitting. Common practice.
pub fn shelf(lead: System) -> Vec<Length> {
    let one = match lead {
        System::Inch => crate::quantity::inches(0.001),
        System::Metric => crate::quantity::millimetres(0.025),
    };
    vec![-one, Length::from_si(0.0), one]
}

/// `standard`, `0.0010 in under`, `0.0010 in over`.
fn marked(mark: Length, lead: System) -> String {
    if mark.si().abs() < 1e-9 {
        "standard".to_owned()
    } else if mark.si() > 0.0 {
        format!("{} under", show::length_in(mark, lead))
    } else {
        format!("{} over", show::length_in(-mark, lead))
    }
}

/// `both standard`, `one standard, one 0.0010 in under`.
pub fn halves(mix: &Mix, lead: System) -> String {
    match mix.is_like() {
        true => format!("both {}", marked(mix.marks.0, lead)),
        false => format!("one {}, one {}", marked(mix.marks.0, lead), marked(mix.marks.1, lead)),
    }
}

fn answer(picked: &[Picked], marks: &[Length], limits: &Limits, assumed: bool, lead: System) -> Reply {
    let within = picked.iter().filter(|p| p.best.within).count();
    let changed = |p: &Picked| !(p.best.is_like() && p.best.marks.0.si().abs() < 1e-9);
    let mixed = picked.iter().filter(|p| changed(p)).count();
    let title = match (picked, within == picked.len()) {
        ([one], true) => format!("{}: {}", halves(&one.best, lead), show::length(one.best.clearance, lead)),
        ([one], false) => format!("No mix brings it in: nearest {}", show::length(one.best.clearance, lead)),
        (all, true) => format!("All {} come into limits, {mixed} of them with other halves", all.len()),
        (all, false) => format!("{} of {} do not come into limits with these shells", all.len() - within, all.len()),
    };
    let verdict = if within == picked.len() { Verdict::Within } else { Verdict::Out };
    let rows = picked.iter().enumerate().map(|(at, bearing)| {
        let verdict = if bearing.best.within { Verdict::Within } else { Verdict::Out };
        vec![
            Cell::from((at + 1).to_string()),
            show::length_in(bearing.standard, lead).into(),
            halves(&bearing.best, lead).into(),
            Cell { text: show::length(bearing.best.clearance, lead), verdict: Some(verdict), line: None },
        ]
    });
    let header = ["Bearing", "Standard", "Halves", "Clearance"].map(String::from).to_vec();
    let mut reply = Reply::new(show::capital(&title))
        .verdict(verdict)
        .block(Block::Table(Table { caption: String::new(), header, rows: rows.collect() }))
        .fields([
            ("Limits", limits.from.clone()),
            ("Shells tried", marks.iter().map(|m| marked(*m, lead)).collect::<Vec<_>>().join(", ")),
        ]);
    if let Some((at, first)) = picked.iter().enumerate().find(|(_, p)| changed(p)) {
        let (a, b) = first.best.marks;
        let sign = |l: Length| if l.si() < 0.0 { "+" } else { "-" };
        reply = reply.working([
            "a half marked u under is u / 2 thicker and takes u / 2 off the clearance".to_owned(),
            format!(
                "{}: {} standard {} {} {} {} = {}",
                at + 1,
                show::length_in(first.standard, lead),
                sign(a),
                show::length_in(a.abs() / 2.0, lead),
                sign(b),
                show::length_in(b.abs() / 2.0, lead),
                show::length_in(first.best.clearance, lead)
            ),
        ]);
    }
    for (at, bearing) in picked.iter().enumerate() {
        reply = reply
            .value(Value::length(&format!("clearance_{}", at + 1), bearing.best.clearance, lead))
            .value(Value::length(&format!("first_half_{}", at + 1), bearing.best.marks.0, lead))
            .value(Value::length(&format!("second_half_{}", at + 1), bearing.best.marks.1, lead));
    }
    if assumed {
        reply = reply.text("The marks tried are the usual ones; which of them exist for this engine its supplier says. Name yours with shells=.");
    }
    if verdict == Verdict::Out {
        reply = reply
            .text("Clean shell backs and housing and measure again; then polish or grind.")
            .action(Action::send("Which undersize", "page oversize-and-undersize-decisions"));
    }
    reply
        .caution(Loudness::Important, "Never mix halves more than one step apart. Keep the thicker half on the same side all along the crank, the oil hole where it belongs, and write the halves on the job. Prove each with a gauge or a strip.")
        .sources(["enumeration of like and neighbouring halves; nearest the middle of the limits", "definition of undersize marks; common practice"])
}
