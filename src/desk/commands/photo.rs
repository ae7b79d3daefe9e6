//! `photo 4` with a photograph beside the line: puts it beside a reading that is posted. Without one it shows what is there.

use clap::Args;

use super::log::headline;
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::{Context, Trouble};
use crate::record::ReadingId;

/// Which reading; the photograph comes with the line.
#[derive(Debug, Args)]
#[command(after_help = "photo 4")]
pub struct Photo {
    /// The reading's number.
    pub reading: u32,
}

impl Photo {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let entry = record.reading(ReadingId(i64::from(self.reading)))?;
        let reading = &entry.reading;
        let job = record.job(reading.measured.job)?;
        let pictures = context.enclosed()?;
        let before = record.photos(reading.id)?.len();
        if !pictures.is_empty() {
            record.add_photos(&context.actor(), reading.id, &pictures, context.now)?;
        }
        let shown = context.photographs(&job, reading)?;
        let count = match shown.len() {
            0 => "no photograph".to_owned(),
            1 => "one photograph".to_owned(),
            n => format!("{n} photographs"),
        };
        let lead = context.lead_with(&[], context.library.engine(&job.engine));
        let title = match (pictures.len(), shown.len() - before) {
            (0, _) => format!("Reading {} has {count}", reading.id),
            (_, 0) => format!("Reading {} had it already: {count}", reading.id),
            (_, 1) => format!("The photograph is kept with reading {}", reading.id),
            (_, n) => format!("{n} photographs are kept with reading {}", reading.id),
        };
        let add = context.picture_it(&job, &entry);
        let mut reply = Reply::new(title)
            .text(format!("Job {}, {}. {}.", job.id, job.title, headline(context, reading, lead)))
            .value(Value::plain("reading", reading.id.0 as f64))
            .value(Value::plain("photographs", shown.len() as f64));
        reply.blocks.extend(shown);
        if add.is_some() && pictures.is_empty() {
            reply = reply.text(
                "To add one, send this line with the picture: on the page by the camera key, on the chat by \
                 /photo with the picture attached, in the terminal with --photo FILE. JPEG, PNG or WebP, 5 MB at most, six to a reading.",
            );
        }
        if let Some(add) = add {
            reply = reply.action(add);
        }
        Ok(reply
            .action(Action::send(format!("Look at {}", reading.id), format!("review show {}", reading.id)))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}
