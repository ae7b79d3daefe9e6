//! `job limit "main oil clearance" min=0.0015in max=0.0028in reason="maker's bulletin"`: a limit for this job alone.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble, unknown};
use crate::engine::limits::Sizes;
use crate::engine::measures::EVERYWHERE;
use crate::quantity::{named_in, read, read_si, show};
use crate::record::LimitOverride;

/// The measure, its ends, and why.
#[derive(Debug, Args)]
#[command(
    after_help = "job limit \"main oil clearance\" min=0.0015in max=0.0028in reason=\"bearing maker's bulletin\" job=1"
)]
pub struct OwnLimit {
    /// The measure, as limits tables name it.
    pub measure: String,
    /// Which part of it, such as top; everywhere where left out.
    #[arg(long)]
    pub at: Option<String>,
    /// The least allowed, with its unit.
    #[arg(long)]
    pub min: Option<String>,
    /// The most allowed, with its unit.
    #[arg(long)]
    pub max: Option<String>,
    /// Why; it stays on the sheet.
    #[arg(long, required = true)]
    pub reason: String,
    /// The job; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
}

impl OwnLimit {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        let engine = context.engine_of(&job)?;
        let plan = context.library.plan();
        let measure = plan.measure(&self.measure).ok_or_else(|| {
            let names: Vec<&str> = plan.measures().iter().map(|m| m.name).collect();
            unknown("measure", &self.measure, &names)
        })?;
        let at = match self.at.as_deref() {
            None | Some(EVERYWHERE) => EVERYWHERE,
            Some(at) => *measure
                .parts
                .iter()
                .find(|part| part.eq_ignore_ascii_case(at))
                .ok_or_else(|| unknown("at", at, measure.parts))?,
        };
        let end = |input: &str, given: &Option<String>| -> Result<Option<f64>, Refusal> {
            let Some(text) = given else { return Ok(None) };
            read_si(measure.dimension, text, Some(engine.unit))
                .map(Some)
                .map_err(|m| Refusal::new(input, text, format!("It {m}.")))
        };
        let (min, max) = (end("min", &self.min)?, end("max", &self.max)?);
        // A factor of five from the page is a slip of the point or the unit until the page itself says otherwise.
        let wanted = Wanted {
            measure: measure.name,
            at,
            engine: Some(engine),
            duty: None,
            sizes: Sizes::from(engine),
            overrides: Some(&[]),
        };
        if let Some(held) = context.limit(wanted) {
            for (input, given, text, page) in
                [("min", min, &self.min, held.bounds.min), ("max", max, &self.max, held.bounds.max)]
            {
                if let (Some(given), Some(page)) = (given, page)
                    && page > 0.0
                    && !(0.2..=5.0).contains(&(given / page))
                {
                    let range = held.range(context.lead_with(&[], Some(engine)));
                    let possible = format!("That is far from {}, {range}. If it is meant, change it there.", held.from);
                    return Err(Refusal::new(input, text.as_deref().unwrap_or_default(), possible).into());
                }
            }
        }
        let typed = self.max.as_ref().or(self.min.as_ref()).and_then(|t| read(t).ok()).and_then(|w| w.unit);
        let unit = typed.or(named_in(measure.dimension, engine.unit).map(|u| u.symbol.to_owned())).unwrap_or_default();
        let limit = LimitOverride {
            job: job.id,
            measure: measure.name.to_owned(),
            at: at.to_owned(),
            min,
            max,
            unit,
            reason: self.reason.clone(),
        };
        context.desk.record.override_limit(&context.actor(), limit, context.now)?;
        let lead = context.lead_with(&[], Some(engine));
        Ok(Reply::new(format!(
            "Job {}: {} now {}",
            job.id,
            measure.name,
            show::range(measure.dimension, min, max, lead)
        ))
        .text(format!(
            "Because: {}. Readings from now on are judged by it; those already posted keep theirs.",
            self.reason
        ))
        .caution(Loudness::Important, "It wins over the engine's page for this job, and stays on the build sheet.")
        .action(Action::send("The job", format!("job show {}", job.id))))
    }
}
