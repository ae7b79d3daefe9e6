//! `procedure ring-end-gap`, `procedure ring-end-gap step=3`: a procedure one step at a time, with next and back.

use clap::Args;

use super::page::missing;
use crate::desk::form::ProcedureName;
use crate::desk::passages;
use crate::desk::reply::{Action, Block, Loudness, Reply};
use crate::desk::{Context, Refusal, Trouble};
use crate::library::{Kind, Page};

/// Which procedure, and where in it.
#[derive(Debug, Args)]
#[command(after_help = "procedure ring-end-gap step=1")]
pub struct Procedure {
    /// The procedure's name or title. Without one, all of them by stage.
    pub name: Vec<ProcedureName>,
    /// The step to show; the first where left out.
    #[arg(long)]
    pub step: Option<u32>,
}

impl Procedure {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        if self.name.is_empty() {
            return Ok(list(context));
        }
        let name = self.name.iter().map(|ProcedureName(word)| word.as_str()).collect::<Vec<_>>().join(" ");
        let page = context.library.page(&name).ok_or_else(|| missing(context, &name))?;
        let steps = page.steps();
        if page.kind != Kind::Procedure || steps.is_empty() {
            let mut refusal = Refusal::new("name", &name, "That page has no steps; read it whole.");
            refusal.line = Some(format!("page {}", page.slug));
            return Err(refusal.into());
        }
        let number = self.step.unwrap_or(1);
        let at = usize::try_from(number).unwrap_or(usize::MAX).wrapping_sub(1);
        let step = steps.get(at).ok_or_else(|| {
            Refusal::new("step", number.to_string(), format!("{} has steps 1 to {}.", page.title, steps.len()))
        })?;
        let line = |n: usize| format!("procedure {} step={n}", page.slug);
        let mut reply = Reply::new(format!("Step {number} of {}: {}", steps.len(), step.item.text));
        reply = reply.fields([("Procedure", page.title.as_str()), ("Under", step.heading)]);
        if let Some(caution) = caution(page, step.heading) {
            reply = reply.caution(Loudness::Caution, caution);
        }
        for hold in &step.item.holds {
            let on_job = on_the_bench(context, &hold.check)?.unwrap_or_default();
            let wanted = format!("Hold point: {} before you go on.{on_job}", hold.words);
            reply = reply.caution(Loudness::Important, wanted).action(passages::hold(hold));
        }
        if at + 1 < steps.len() {
            reply = reply.action(Action::turn("Next step", line(at + 2)));
        }
        if at > 0 {
            reply = reply.action(Action::turn("Back", line(at)));
        }
        Ok(reply.action(Action::send("The whole page", format!("page {}", page.slug))))
    }
}

/// ` On job #1 it is open: 4, 5 not posted.`: how a hold point stands on the job in hand.
fn on_the_bench(context: &Context, check: &str) -> Result<Option<String>, Trouble> {
    let (Some(job), Some(check)) = (&context.job, context.library.plan().check(check)) else { return Ok(None) };
    if context.library.engine(&job.engine).is_none() {
        return Ok(None);
    }
    let holds = context.holds(job)?;
    Ok(holds.hold(check).map(|hold| format!(" On job {} it is {}.", job.id, hold.standing())))
}

/// The caution of the section a step stands in, else the page's own.
fn caution(page: &Page, heading: &str) -> Option<String> {
    let section = page.sections.iter().find(|s| s.heading == heading);
    section.and_then(|s| s.caution()).or_else(|| page.caution())
}

fn list(context: &Context) -> Reply {
    let procedures = context.library.procedures();
    let mut reply = Reply::new(format!("{} procedures, in the order of the work", procedures.len()));
    let mut last = None;
    for page in &procedures {
        let stage = page.stage.map_or("At any time", |stage| stage.title());
        if last != Some(stage) {
            reply = reply.block(Block::Heading(stage.to_owned())).block(Block::Bullets(Vec::new()));
            last = Some(stage);
        }
        if let Some(Block::Bullets(items)) = reply.blocks.last_mut() {
            items.push(format!("{} ({})", page.title, page.slug));
        }
    }
    reply.action(Action::form("Start one", "procedure"))
}
