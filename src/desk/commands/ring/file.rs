//! `ring file 4.030in marine top="0.0170 0.0185 0.0205 0.0162 in" second="0.0190 0.0210 0.0215 0.0225 in"`: a whole
//! set, one gap a cylinder in their order, and how much to file off each.

use clap::Args;

use super::gap::{RingName, Want, at_gauge_resolution, finish, want};
use crate::desk::commands::DutyName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value, Verdict};
use crate::desk::sense::{OrRefuse, renamed};
use crate::desk::yardstick::mark;
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::gap_bars::{self, Bar, GapBars};
use crate::engine::Duty;
use crate::maths::rings::{self, Filing, Fit};
use crate::quantity::{Given, Length, Number, System, show};

/// The bore, and the gaps as measured, cylinder by cylinder.
#[derive(Debug, Args)]
#[command(
    after_help = "ring file 4.030in marine top=\"0.0170 0.0185 0.0205 0.0162 in\" second=\"0.0190 0.0210 0.0215 0.0225 in\""
)]
pub struct File {
    /// The bore the rings run in.
    pub bore: Given<Length>,
    /// What the engine is built to do.
    pub duty: Option<DutyName>,
    /// Top ring gaps as measured, one a cylinder, in order.
    #[arg(long)]
    pub top: Vec<Given<Length>>,
    /// Second ring gaps, one a cylinder, in order.
    #[arg(long)]
    pub second: Vec<Given<Length>>,
    /// Oil rail gaps, one a cylinder, or upper and lower of each.
    #[arg(long)]
    pub rail: Vec<Given<Length>>,
    /// Top ring gap per unit of bore from the ring maker's sheet; it wins over the duty.
    #[arg(long)]
    pub factor: Option<Given<Number>>,
    /// The same for the second ring.
    #[arg(long)]
    pub second_factor: Option<Given<Number>>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// All rings of one kind, in the order of the cylinders.
struct Kind {
    ring: RingName,
    want: Want,
    labels: Vec<String>,
    filings: Vec<Filing>,
}

impl File {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.lean(engine);
        let bore = context.quantity("bore", &self.bore, lean)?;
        let lead = context.lead_with(&[self.bore.system()], engine);
        let duty = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), duty)?;
        rings::gap_range(bore, 0.004, None).or_refuse(&[("bore", self.bore.written())])?;
        let cylinders = self.cylinders()?;
        let mut kinds = Vec::new();
        for (ring, input, given, factor) in [
            (RingName::Top, "top", &self.top, &self.factor),
            (RingName::Second, "second", &self.second, &self.second_factor),
            (RingName::Rail, "rail", &self.rail, &None),
        ] {
            if given.is_empty() {
                continue;
            }
            let want = match factor {
                Some(factor) => self.by_factor(context, ring, bore, factor, lead)?,
                None => want(context, ring, bore, engine, duty.or(engine.map(|e| e.duty))).ok_or_else(|| {
                    let words = Duty::ALL.map(Duty::word).join(", ");
                    Refusal::new("duty", "", format!("How wide a gap must be depends on the duty: {words}; or give engine=, or factors for top and second."))
                })?,
            };
            // A limit stated as a size is exact as it stands.
            let by_factor = want.rule.contains(" x ");
            let range = if by_factor { at_gauge_resolution(want.range) } else { want.range };
            let want = Want { range, ..want };
            let unit = context.shared_unit(given).or(lean);
            let mut filings = Vec::new();
            for one in given {
                let gap = context.quantity(input, one, unit)?;
                let named = [("measured", one.written())];
                let filing =
                    rings::filing(gap, want.range).or_refuse(&named).map_err(|trouble| renamed(trouble, input))?;
                filings.push(filing);
            }
            kinds.push(Kind { ring, want, labels: labels(filings.len(), cylinders), filings });
        }
        Ok(answer(&kinds, cylinders, lead))
    }

    /// How many cylinders the lists are for; refused where they differ.
    fn cylinders(&self) -> Result<usize, Refusal> {
        let (top, second, rail) = (self.top.len(), self.second.len(), self.rail.len());
        if top + second + rail == 0 {
            return Err(Refusal::new(
                "top",
                "",
                "The gaps as measured, one a cylinder, such as top=\"0.017 0.018 in\".",
            ));
        }
        let cylinders = if top > 0 {
            top
        } else if second > 0 {
            second
        } else {
            rail
        };
        if cylinders > 24 {
            return Err(Refusal::new("top", "", format!("It takes 1 to 24 values; {cylinders} came.")));
        }
        if second > 0 && second != cylinders {
            let possible = format!("One gap a cylinder: {cylinders} came for the top rings, {second} for the second.");
            return Err(Refusal::new("second", "", possible));
        }
        if rail > 0 && rail != cylinders && rail != 2 * cylinders {
            let possible = format!("{cylinders} values, or {} for upper and lower; {rail} came.", 2 * cylinders);
            return Err(Refusal::new("rail", "", possible));
        }
        Ok(cylinders)
    }

    fn by_factor(
        &self,
        context: &Context,
        ring: RingName,
        bore: Length,
        factor: &Given<Number>,
        lead: System,
    ) -> Result<Want, Trouble> {
        let input = if ring == RingName::Top { "factor" } else { "second-factor" };
        let number = context.quantity(input, factor, None)?.0;
        let range = rings::gap_range(bore, number, None)
            .or_refuse(&[("low factor", factor.written())])
            .map_err(|trouble| renamed(trouble, input))?;
        let rule = format!("{} x {}", show::number(number), show::length_in(bore, lead));
        Ok(Want { range, rule, basis: "the factor given".to_owned(), page: None })
    }
}

/// `1`, `2`… or `1 upper`, `1 lower`…
fn labels(count: usize, cylinders: usize) -> Vec<String> {
    let label = |at: usize| match count == cylinders {
        true => (at + 1).to_string(),
        false => format!("{} {}", at / 2 + 1, if at.is_multiple_of(2) { "upper" } else { "lower" }),
    };
    (0..count).map(label).collect()
}

fn verdict(fit: Fit) -> Verdict {
    if fit == Fit::Right { Verdict::Within } else { Verdict::Out }
}

/// What to do with one ring, in one system.
fn told(filing: &Filing, lead: System) -> String {
    match filing.fit {
        Fit::Short => format!("file {}", show::length_in(filing.least, lead)),
        Fit::Right => "leave".to_owned(),
        Fit::Wide => {
            format!("{} too wide", show::length_in(-filing.most.unwrap_or(filing.least), lead))
        }
    }
}

fn answer(kinds: &[Kind], cylinders: usize, lead: System) -> Reply {
    let count = |fit| kinds.iter().flat_map(|kind| &kind.filings).filter(|f| f.fit == fit).count();
    let (short, right, wide) = (count(Fit::Short), count(Fit::Right), count(Fit::Wide));
    let all = short + right + wide;
    let too_wide = if wide > 0 { format!("; {wide} too wide") } else { String::new() };
    let mut reply = match short {
        0 => Reply::new(format!("Nothing to file on {all} rings{too_wide}")),
        _ => Reply::new(format!("File {short} of {all} rings{too_wide}")),
    };
    reply = reply.verdict(if right == all { Verdict::Within } else { Verdict::Out });
    let other = if lead == System::Inch { System::Metric } else { System::Inch };
    for kind in kinds {
        let rows = kind.filings.iter().zip(&kind.labels).map(|(filing, label)| {
            let metric = match filing.fit {
                Fit::Right => String::new(),
                _ => told(filing, other).replace("file ", "").replace(" too wide", ""),
            };
            let act = Cell { text: told(filing, lead), verdict: Some(verdict(filing.fit)), line: None };
            vec![label.clone().into(), show::length_in(filing.measured, lead).into(), act, metric.into()]
        });
        let caption = format!(
            "{}: wanted {}",
            kind.ring.title(),
            show::length_range(Some(kind.want.range.low), kind.want.range.high, lead)
        );
        let header = ["Cylinder", "Measured", "Do", ""].map(String::from).to_vec();
        reply = reply.block(Block::Table(Table { caption, header, rows: rows.collect() }));
    }
    reply = reply.working(kinds.iter().map(|kind| {
        format!(
            "{}: {} = {}; to file = {} - measured",
            kind.ring.word(),
            kind.want.rule,
            show::length_range(Some(kind.want.range.low), kind.want.range.high, lead),
            show::length_in(kind.want.range.low, lead)
        )
    }));
    if wide > 0 {
        reply = reply.text(
            "Filing cannot help a ring that is too wide: an oversize ring to file, or the right ring for this bore.",
        );
    }
    let tighter = tighter_seconds(kinds, cylinders);
    if !tighter.is_empty() {
        let places = tighter.iter().map(|at| (at + 1).to_string()).collect::<Vec<_>>().join(", ");
        reply = reply.text(format!("Cylinder {places}: filed as told, the second ring's gap is smaller than the top's. Open the second to the top's at least (common practice)."));
    }
    for kind in kinds {
        for (filing, label) in kind.filings.iter().zip(&kind.labels) {
            let name = format!("to_file_{}_{}", kind.ring.word(), label.replace(' ', "_"));
            reply = reply.value(Value::length(&name, filing.least, lead));
        }
        reply = reply.figure(figure(kind, lead));
    }
    let mut bases: Vec<String> = Vec::new();
    for kind in kinds {
        if !bases.contains(&kind.want.basis) {
            bases.push(kind.want.basis.clone());
        }
    }
    reply = reply.text("Filed to the low end: more can come off later, none goes back on.").sources(bases);
    if let Some(page) = kinds.iter().find_map(|kind| kind.want.page.clone()) {
        reply = reply.action(Action::send("The limits page", format!("page {page}")));
    }
    finish(reply)
}

/// The cylinders (from 0) in which a second ring's finished gap would be smaller than that of a top ring that stays.
fn tighter_seconds(kinds: &[Kind], cylinders: usize) -> Vec<usize> {
    let of = |ring| kinds.iter().find(|kind| kind.ring == ring);
    let (Some(top), Some(second)) = (of(RingName::Top), of(RingName::Second)) else { return Vec::new() };
    let finished = |kind: &Kind, at: usize| {
        kind.filings.get(at).filter(|f| f.fit != Fit::Wide).map(|f| f.measured.max(kind.want.range.low))
    };
    (0..cylinders)
        .filter(|at| match (finished(top, *at), finished(second, *at)) {
            (Some(top), Some(second)) => crate::quantity::below(second, top),
            _ => false,
        })
        .collect()
}

fn figure(kind: &Kind, lead: System) -> crate::drawing::Figure {
    let bars = kind.filings.iter().zip(&kind.labels).map(|(filing, label)| Bar {
        label: label.clone(),
        gap: filing.measured,
        mark: mark(verdict(filing.fit)),
        words: told(filing, lead),
    });
    gap_bars::draw(&GapBars {
        heading: format!("{} gaps by cylinder", kind.ring.title()),
        system: lead,
        bars: bars.collect(),
        min: kind.want.range.low,
        max: kind.want.range.high,
    })
}
