//! `bearing clearance housing=2.6905in shell=0.0947in journal=2.4995in`, or `bearing clearance id=2.5011in journal=2.4995in`:
//! oil clearance, smallest and largest.

use clap::{Args, ValueEnum};

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::clearance;
use crate::maths::judge::Verdict;
use crate::quantity::{Given, Length, Measure, System, show};

/// Inside diameter, or housing and shell; and the journal. Each may be given more than once.
#[derive(Debug, Args)]
#[command(after_help = "bearing clearance housing=2.6905in shell=0.0947in journal=2.4995in journal=2.4993in")]
pub struct Clearance {
    /// Housing bore, torqued, without shells.
    #[arg(long)]
    pub housing: Vec<Given<Length>>,
    /// Shell wall at its middle; one for both halves, or one each.
    #[arg(long)]
    pub shell: Vec<Given<Length>>,
    /// Inside diameter with the shells in, torqued.
    #[arg(long, conflicts_with_all = ["housing", "shell"])]
    pub id: Vec<Given<Length>>,
    /// Journal diameter.
    #[arg(long, required = true)]
    pub journal: Vec<Given<Length>>,
    /// Which bearing, for its limits; told by the journal's size where the engine has one near it.
    #[arg(long)]
    pub of: Option<BearingName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The bearings that have an oil clearance here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BearingName {
    Main,
    Rod,
}

impl Clearance {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let all = || self.housing.iter().chain(&self.shell).chain(&self.id).chain(&self.journal);
        let lean = all().find_map(Given::system).or(context.lean(engine));
        let read = |name, given: &[Given<Length>]| context.quantities(name, given, lean);
        let (housing, shell, id) =
            (read("housing", &self.housing)?, read("shell", &self.shell)?, read("id", &self.id)?);
        let journal = read("journal", &self.journal)?;
        let lead = context.lead_with(&[lean], engine);
        let mut typed = Vec::new();
        for (name, given) in
            [("housing", &self.housing), ("shell", &self.shell), ("inside", &self.id), ("journal", &self.journal)]
        {
            typed.extend(given.first().map(|g| (name, g.written())));
        }
        let (inside, working) = match (housing.is_empty(), shell.is_empty(), id.is_empty()) {
            (_, _, false) => (id, None),
            (false, false, true) => {
                let shelled = clearance::shelled(&housing, &shell).or_refuse(&typed)?;
                let line = format!(
                    "{} housing - {} for both shells = {} inside",
                    list(&housing, lead),
                    show::length_in(shelled.walls, lead),
                    list(&shelled.inside, lead)
                );
                (shelled.inside, Some(line))
            }
            (true, false, true) => {
                return Err(Refusal::new("housing", "", "With a shell wall goes the housing bore, torqued.").into());
            }
            (_, true, true) => {
                let possible = "Give id= with the shells in, or housing= and shell=.";
                return Err(Refusal::new(if housing.is_empty() { "id" } else { "shell" }, "", possible).into());
            }
        };
        let sum = clearance::oil(&inside, &journal).or_refuse(&typed)?;
        let of = self.of.unwrap_or_else(|| likeliest(engine, sum.journal.mean));
        let own = |e: &Engine| if of == BearingName::Main { e.main_journal } else { e.rod_journal };
        let engine = context.engine_for(self.engine.as_ref(), sum.journal.mean, own, None)?;
        let measure = match of {
            BearingName::Main => "main oil clearance",
            BearingName::Rod => "rod oil clearance",
        };
        let title = if sum.smallest.si() < 0.0 {
            format!("No clearance: {} tight", show::length(-sum.smallest, lead))
        } else if sum.largest == sum.smallest {
            format!("{} {}", show::capital(measure), show::length(sum.smallest, lead))
        } else {
            format!("{} {}", show::capital(measure), show::length_range(Some(sum.smallest), Some(sum.largest), lead))
        };
        let per = |ratio: f64| format!("{} per unit of journal", show::fixed(ratio, 5));
        let mut reply = Reply::new(title)
            .working(working.into_iter().chain([
                format!(
                    "smallest: {} inside - {} journal = {}",
                    show::length_in(sum.inside.smallest, lead),
                    show::length_in(sum.journal.largest, lead),
                    show::length_in(sum.smallest, lead)
                ),
                format!(
                    "largest: {} inside - {} journal = {}",
                    show::length_in(sum.inside.largest, lead),
                    show::length_in(sum.journal.smallest, lead),
                    show::length_in(sum.largest, lead)
                ),
            ]))
            .fields([(
                "By journal size",
                format!("{} to {}", show::fixed(sum.smallest_per_journal, 5), per(sum.largest_per_journal)),
            )])
            .value(Value::length("smallest", sum.smallest, lead))
            .value(Value::length("largest", sum.largest, lead))
            .value(Value::length("mean", sum.mean, lead));

        let size = Some(sum.journal.mean);
        let sizes = Sizes { main_journal: size, rod_journal: size, ..Sizes::default() };
        let wanted = Wanted { measure, at: "-", engine, duty: None, sizes, overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held
                .verdict(sum.smallest.si(), context.doubt("smallest"))
                .worse(held.verdict(sum.largest.si(), context.doubt("largest")));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
            if verdict == Verdict::Out {
                reply = reply
                    .text("Before machining: clean the backs of the shells and the housing, torque again, measure again. Then mix half-shells, then grind.")
                    .action(Action::send("Which undersize", "page oversize-and-undersize-decisions"));
            }
            reply = reply.figure(held.strip(
                format!("{} (smallest)", show::capital(measure)),
                lead,
                sum.smallest.si(),
                context.doubt("smallest"),
                verdict,
            ));
        }
        Ok(reply
            .caution(Loudness::Important, "The maker's figure for this engine wins. Measure with the caps torqued, journals and shells at one temperature.")
            .sources(["definition: inside diameter less journal"]))
    }
}

/// The bearing whose journal on this engine is nearest; a main where nothing tells.
pub fn likeliest(engine: Option<&Engine>, journal: Length) -> BearingName {
    let off = |own: Option<Length>| own.map_or(f64::INFINITY, |own| (journal - own).abs().si());
    match engine {
        Some(e) if off(e.rod_journal) < off(e.main_journal) => BearingName::Rod,
        _ => BearingName::Main,
    }
}

fn list(sizes: &[Length], lead: System) -> String {
    sizes.iter().map(|s| show::length_in(*s, lead)).collect::<Vec<_>>().join(", ")
}
