//! A line that a phone held until the server could be reached: when it was said, and what must not have happened since.
//!
//! The phone judged its readings by what it knew. Where the place, the stage or a limit changed after that, the person is
//! asked: nothing is posted, and nothing that others posted is touched.

#[cfg(feature = "shop")]
use std::collections::BTreeMap;

use super::Context;
use super::commands::log::headline;
use super::recorded::{behind_name, moment};
use super::trouble::{Refusal, Trouble};
#[cfg(feature = "shop")]
use super::{Asker, Desk};
use crate::engine::plan::Check;
#[cfg(feature = "shop")]
use crate::library::{Kind, as_read};
#[cfg(feature = "shop")]
use crate::record::Extract;
use crate::record::{Happening, Job, JobId, Measured, Reading, Taken};

/// What a phone says beside a line that it held.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    pub taken: Taken,
    /// The job in hand on the phone.
    pub job: Option<JobId>,
    /// The last event of the record that the phone knew.
    pub seen: i64,
    /// What its readings were judged by there, as [`judged_by`] puts it; none for a line without readings.
    pub judged: Option<String>,
    /// The person was asked, and wants it posted all the same.
    pub sure: bool,
}

/// The limits of readings in one short text: two that are equal were judged alike.
pub fn judged_by<'m>(all: impl IntoIterator<Item = &'m Measured>) -> String {
    let mut text = String::new();
    for judged in all.into_iter().flat_map(|measured| &measured.measures) {
        // Nine digits: the last ones may differ between a phone's arithmetic and ours.
        let bound = |bound: Option<f64>| bound.map_or("-".to_owned(), |bound| format!("{bound:.8e}"));
        text += &format!("{}|{}|{}|{}\n", judged.measure, judged.at, bound(judged.min), bound(judged.max));
    }
    blake3::hash(text.as_bytes()).to_hex().chars().take(16).collect()
}

#[cfg(feature = "shop")]
impl Desk {
    /// What a person's phone carries of the record.
    pub fn extract(&self, asker: &Asker) -> anyhow::Result<Extract> {
        Ok(self.record.extract(&asker.person, &asker.channel)?)
    }

    /// The pages that a phone carries, by file name: those that a person would open.
    pub fn pages(&self) -> anyhow::Result<Vec<(String, String)>> {
        let library = self.shelf.current();
        let open: BTreeMap<&str, Kind> = library.pages_to_read().map(|page| (page.file.as_str(), page.kind)).collect();
        let files = self.shelf.files()?.into_iter().filter_map(|(name, text)| match open.get(name.as_str())? {
            Kind::Beyond => Some((name, as_read(&text))),
            _ => Some((name, text)),
        });
        Ok(files.collect())
    }
}

impl Context<'_> {
    /// Refuses readings that a phone held where something happened meanwhile that the person should know first.
    pub fn undisturbed(&self, job: &Job, check: &Check, all: &[&Measured]) -> Result<(), Trouble> {
        let Some(held) = self.asker.held.as_ref().filter(|held| !held.sure) else { return Ok(()) };
        let since = self.desk.record.events(job.id)?.into_iter().filter(|event| event.seq > held.seen);
        for event in since {
            let (by, when) = (event.by.person.clone(), moment(event.when));
            match &event.what {
                Happening::Reading(posting) => {
                    let measured = &posting.measured;
                    let place = all.iter().any(|one| one.check == measured.check && one.position == measured.position);
                    let own = event.by.person == self.asker.person
                        && measured.taken.as_ref().is_some_and(|taken| taken.phone == held.taken.phone);
                    if place && !own {
                        let did = if posting.amends.is_some() { "amended" } else { "posted" };
                        let reading = Reading::of_event(event.clone())?;
                        let told = headline(self, &reading, self.lead_with(&[], self.library.engine(&job.engine)));
                        return Err(meanwhile(&format!("{by} {did} at this place, {when} UTC: {told}")).into());
                    }
                }
                Happening::StageSigned(signed) if signed.stage == check.stage.slug() => {
                    return Err(meanwhile(&format!("{by} signed off the stage {}, {when} UTC", signed.stage)).into());
                }
                _ => {}
            }
        }
        let now = judged_by(all.iter().copied());
        if held.judged.as_ref().is_some_and(|judged| *judged != now) {
            let verdicts = all.iter().map(|one| {
                format!("{}{} would now be {}", check.name, behind_name(&one.position), one.verdict.as_str())
            });
            let verdicts: Vec<String> = verdicts.collect();
            return Err(meanwhile(&format!("the limits changed: {}", verdicts.join(", "))).into());
        }
        Ok(())
    }
}

fn meanwhile(what: &str) -> Refusal {
    Refusal {
        meanwhile: true,
        ..Refusal::new(
            "held",
            "",
            format!("Meanwhile {what}. Post yours as well, or leave it out? Nothing was changed."),
        )
    }
}
