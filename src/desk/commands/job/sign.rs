//! `job sign crank`: a lead signs off a stage. Over open hold points that takes a reason, and stays on the sheet.

use clap::Args;
use clap::builder::PossibleValuesParser;

use crate::desk::form::JobNumber;
use crate::desk::holds::points;
use crate::desk::reply::{Action, Block, Loudness, Reply, Value};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Stage;
use crate::record::{Act, StageSigned};

/// Which stage, and why.
#[derive(Debug, Args)]
#[command(after_help = "job sign measure-block reason=\"sleeves are on order, the rest is agreed\" job=1")]
pub struct Sign {
    /// The stage.
    #[arg(value_parser = PossibleValuesParser::new(Stage::ALL.map(Stage::slug)))]
    pub stage: String,
    /// Why; needed while a hold point of it is open. It stays on the sheet.
    #[arg(long)]
    pub reason: Option<String>,
    /// The job; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
}

impl Sign {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        context.must(Act::SignStage)?;
        let job = context.named_job(self.job.as_ref())?;
        let holds = context.holds(&job)?;
        let found = Stage::named(&self.stage).and_then(|stage| holds.stage(stage));
        let stage = found.ok_or_else(|| Refusal::new("stage", &self.stage, "No stage goes by that name."))?;
        let title = stage.stage.title();
        let open = stage.open();
        let reason = self.reason.as_deref().map(str::trim).filter(|reason| !reason.is_empty());
        if !open.is_empty() && reason.is_none() {
            let possible = format!(
                "On job {}, {title} has {}. {}. To sign it off all the same, say why; it stays on the sheet.",
                job.id,
                points(open.len()),
                stage.what_is_open()
            );
            return Err(Refusal::new("reason", "", possible).into());
        }
        let signed = StageSigned {
            job: job.id,
            stage: stage.stage.slug().to_owned(),
            readings: stage.readings(),
            open,
            reason: reason.map(str::to_owned),
        };
        let key = context.asker.key.as_deref();
        let given = context.desk.record.sign_stage(&context.actor(), key, signed, context.now)?;
        let (covered, open) = (given.signed.readings.len(), &given.signed.open);
        let over = if open.is_empty() { String::new() } else { format!(" over {}", points(open.len())) };
        let mut reply = Reply::new(format!("{title} is signed off on job {}{over}", job.id))
            .value(Value::plain("readings", covered as f64))
            .value(Value::plain("open", open.len() as f64));
        if stage.signed.as_ref().is_some_and(|before| before.sign_off.number == given.number) {
            reply = reply.text(format!("{} had signed it off already; nothing is doubled.", given.by.person));
        }
        reply = reply.text(match covered {
            0 if stage.holds.is_empty() => "The plan holds nothing of it: this is your word alone.".to_owned(),
            0 => "No reading counts there yet. Post one, and it has to be signed again.".to_owned(),
            1 => "It covers the reading that counts there now. Change it, and it has to be signed again.".to_owned(),
            n => format!("It covers the {n} readings that count there now. Change one, and it has to be signed again."),
        });
        if !open.is_empty() {
            reply = reply
                .block(Block::Bullets(stage.unaccepted().map(|hold| hold.told()).collect()))
                .caution(Loudness::Warning, "The build sheet names these hold points and your reason for ever.");
        }
        Ok(reply.action(Action::send("The job", format!("job show {}", job.id))))
    }
}
