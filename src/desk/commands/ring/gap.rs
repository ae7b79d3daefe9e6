//! `ring gap 4.030in marine`, `ring gap 4.030in marine measured=0.017in ring=top`, `ring gap 4.030in factor=0.0045`:
//! the end gap a ring needs in its bore, and how much to file.

use clap::{Args, ValueEnum};

use crate::desk::commands::DutyName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::limits::Sizes;
use crate::engine::{Duty, Engine};
use crate::maths::rings::{self, Filing, Fit, GapRange};
use crate::quantity::{Given, Length, Measure, Number, System, in_inches, inches, show};

/// Bore, duty or factor, and a measured gap.
#[derive(Debug, Args)]
#[command(after_help = "ring gap 4.030in marine")]
pub struct Gap {
    /// The bore the ring runs in.
    pub bore: Given<Length>,
    /// What the engine is built to do.
    pub duty: Option<DutyName>,
    /// Gap per unit of bore from the ring maker's sheet; it wins over the duty.
    #[arg(long)]
    pub factor: Option<Given<Number>>,
    /// The gap as measured, squared in its own bore.
    #[arg(long)]
    pub measured: Option<Given<Length>>,
    /// Which ring was measured.
    #[arg(long, default_value = "top")]
    pub ring: RingName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The rings that have a gap to file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RingName {
    Top,
    Second,
    Rail,
}

const RINGS: [RingName; 3] = [RingName::Top, RingName::Second, RingName::Rail];

impl RingName {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Second => "second",
            Self::Rail => "rail",
        }
    }

    pub(super) fn title(self) -> &'static str {
        match self {
            Self::Top => "Top ring",
            Self::Second => "Second ring",
            Self::Rail => "Oil rail",
        }
    }
}

/// The gap wanted for one ring, and why.
pub(super) struct Want {
    pub(super) range: GapRange,
    /// The rule it comes by: `0.005 x bore to 0.006 x bore`.
    pub(super) rule: String,
    /// Where the rule stands, and on what it rests.
    pub(super) basis: String,
    pub(super) page: Option<String>,
}

impl Gap {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.lean(engine);
        let bore = context.quantity("bore", &self.bore, lean)?;
        let lead = context.lead_with(&[self.bore.system()], engine);
        let asked = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), asked)?;
        // The maths knows what a bore can be; no limit is looked up for one that cannot.
        rings::gap_range(bore, 0.004, None).or_refuse(&[("bore", self.bore.written())])?;
        if let Some(factor) = &self.factor {
            return self.by_factor(context, bore, factor, lead, lean);
        }
        let duty = asked.or(engine.map(|e| e.duty));
        let Some(duty) = duty else { return self.every_duty(context, bore, lead) };
        let wants: Vec<(RingName, Want)> =
            RINGS.iter().filter_map(|ring| Some((*ring, want(context, *ring, bore, engine, Some(duty))?))).collect();
        let chosen = wants.iter().find(|(ring, _)| *ring == self.ring).map(|(_, want)| want).ok_or_else(|| {
            Refusal::new(
                "ring",
                self.ring.word(),
                "No limits page has a gap for this ring: give factor= from its maker's sheet.",
            )
        })?;
        let rows = wants
            .iter()
            .map(|(ring, want)| vec![ring.title().into(), range(&want.range, lead).into(), want.rule.clone().into()])
            .collect();
        let table =
            Table { caption: String::new(), header: ["Ring", "End gap", "Rule"].map(String::from).to_vec(), rows };
        let title = format!("{} gap {}", self.ring.title(), range(&chosen.range, lead));
        let mut reply = self.answer(context, title, chosen, lead, lean)?.block(Block::Table(table));
        let mut bases: Vec<String> = Vec::new();
        for (_, want) in &wants {
            if !bases.contains(&want.basis) {
                bases.push(want.basis.clone());
            }
        }
        reply = reply.sources(bases);
        if let Some(page) = &chosen.page {
            reply = reply.action(Action::send("The limits page", format!("page {page}")));
        }
        Ok(finish(reply))
    }

    fn by_factor(
        &self,
        context: &Context,
        bore: Length,
        factor: &Given<Number>,
        lead: System,
        lean: Option<System>,
    ) -> Result<Reply, Trouble> {
        let number = context.quantity("factor", factor, None)?.0;
        let range = rings::gap_range(bore, number, None)
            .or_refuse(&[("bore", self.bore.written()), ("low factor", factor.written())])?;
        let rule = format!("{} x {}", show::number(number), show::length_in(bore, lead));
        let title = format!("{} gap {} or more", self.ring.title(), show::length(range.low, lead));
        let want = Want { range, rule, basis: "the factor given".to_owned(), page: None };
        Ok(finish(self.answer(context, title, &want, lead, lean)?.sources([want.basis])))
    }

    /// The title and what a measured gap says; the gap alone where none was measured.
    fn answer(
        &self,
        context: &Context,
        title: String,
        want: &Want,
        lead: System,
        lean: Option<System>,
    ) -> Result<Reply, Trouble> {
        let mut reply = match &self.measured {
            None => Reply::new(title),
            Some(measured) => {
                let gap = context.quantity("measured", measured, lean)?;
                let filing = rings::filing(gap, at_gauge_resolution(want.range))
                    .or_refuse(&[("measured", measured.written())])?;
                told(&filing, self.ring, lead).text(title)
            }
        };
        reply = reply
            .working([format!("{} = {}", want.rule, show::length_range(Some(want.range.low), want.range.high, lead))])
            .value(Value::length("gap_min", want.range.low, lead));
        if let Some(high) = want.range.high {
            reply = reply.value(Value::length("gap_max", high, lead));
        }
        Ok(reply)
    }

    /// No duty and no engine: each duty's gap, so that none is guessed.
    fn every_duty(&self, context: &Context, bore: Length, lead: System) -> Result<Reply, Trouble> {
        if self.measured.is_some() {
            let words = Duty::ALL.map(Duty::word).join(", ");
            return Err(Refusal::new(
                "duty",
                "",
                format!("How much to file depends on the duty: {words}; or give factor=."),
            )
            .into());
        }
        let wants: Vec<(Duty, Want)> = Duty::ALL
            .into_iter()
            .filter_map(|duty| Some((duty, want(context, self.ring, bore, None, Some(duty))?)))
            .collect();
        let Some((first, least)) = wants.first() else {
            return Err(Refusal::new(
                "duty",
                "",
                "No limits page has a ring gap: give factor= from the ring maker's sheet.",
            )
            .into());
        };
        let title = format!(
            "{} gap {} for {} duty; more for harder work",
            self.ring.title(),
            range(&least.range, lead),
            first.word()
        );
        let rows = wants
            .iter()
            .map(|(duty, want)| vec![duty.word().into(), range(&want.range, lead).into(), want.rule.clone().into()])
            .collect();
        let header = ["Duty", "End gap", "Rule"].map(String::from).to_vec();
        let mut reply = Reply::new(title).block(Block::Table(Table { caption: String::new(), header, rows }));
        reply = reply.sources(wants.iter().map(|(_, want)| want.basis.clone()));
        for (duty, want) in &wants {
            reply = reply.value(Value::length(&format!("gap_min_{}", duty.word()), want.range.low, lead));
        }
        for duty in Duty::ALL {
            reply = reply.action(Action::send(duty.word(), format!("ring gap {} {}", self.bore, duty.word())));
        }
        Ok(finish(reply))
    }
}

fn range(range: &GapRange, lead: System) -> String {
    show::length_range(Some(range.low), range.high, lead)
}

/// What the limits say of one ring in this bore.
pub(super) fn want(
    context: &Context,
    ring: RingName,
    bore: Length,
    engine: Option<&Engine>,
    duty: Option<Duty>,
) -> Option<Want> {
    let sizes = Sizes { bore: Some(bore), ..Sizes::default() };
    let wanted = Wanted { measure: "ring gap", at: ring.word(), engine, duty, sizes, overrides: None };
    let held: Held = context.limit(wanted)?;
    let low = Length::from_si(held.bounds.min?);
    let range = GapRange { low, high: held.bounds.max.map(Length::from_si) };
    let basis = format!("{}: {}", held.from, held.basis);
    Some(Want { range, rule: held.row, basis, page: Some(held.page) })
}

/// To a tenth of a thou, as the record judges: a factor is no finer than the feeler, and nobody files a millionth.
pub(super) fn at_gauge_resolution(range: GapRange) -> GapRange {
    let round = |length: Length| inches((in_inches(length) * 1e4).round() / 1e4);
    GapRange { low: round(range.low), high: range.high.map(round) }
}

fn told(filing: &Filing, ring: RingName, lead: System) -> Reply {
    let measured = show::length_in(filing.measured, lead);
    let reply = match filing.fit {
        Fit::Short => Reply::new(format!("File {} off the {} ring", show::length(filing.least, lead), ring.word()))
            .verdict(Verdict::Out)
            .working([format!(
                "{} wanted - {measured} measured = {}",
                show::length_in(filing.wanted.low, lead),
                show::length_in(filing.least, lead)
            )]),
        Fit::Right => {
            Reply::new(format!("{} gap {measured} is right: do not file", ring.title())).verdict(Verdict::Within)
        }
        Fit::Wide => Reply::new(format!(
            "{} gap is {} too wide: filing cannot help",
            ring.title(),
            show::length(-filing.most.unwrap_or(filing.least), lead)
        ))
        .verdict(Verdict::Out)
        .text("Use an oversize ring to file, or check that it is the right ring for this bore."),
    };
    reply.value(Value::length("to_file", filing.least, lead))
}

pub(super) fn finish(reply: Reply) -> Reply {
    reply
        .caution(Loudness::Important, "The ring maker's sheet wins over any factor. Square each ring in its own bore; file from one end only, inward, and break the edge.")
        .action(Action::send("How to measure and file", "page ring-end-gap"))
}
