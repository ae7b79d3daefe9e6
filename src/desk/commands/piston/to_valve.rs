//! `piston to-valve exhaust -20:0.280:0.150 -15:0.238:0.128 -10:0.210:0.104in`, or an estimate from the cam card.

use clap::{Args, ValueEnum};

use crate::desk::commands::crankwork::{self, Crankwork};
use crate::desk::reply::{Action, Block, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::curves::{self, Curves, Panel, Spot};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::valve_gap::{self, Gap, Lobe, Row};
use crate::quantity::{Angle, Dimension, Given, Length, Measure, System, Written, show};

/// A table of readings, or the cam card and geometry for an estimate.
#[derive(Debug, Args)]
#[command(
    after_help = "piston to-valve intake 4:0.245in:0.118in 8:0.255in:0.140in 12:0.276in:0.162in 16:0.306in:0.184in"
)]
pub struct ToValve {
    /// Which valve.
    pub valve: ValveName,
    /// Degrees from top (before is negative) : drop from seat to touch : lift there. Three or more.
    #[arg(allow_hyphen_values = true)]
    pub rows: Vec<String>,
    /// Estimate: full lift at the valve, lash taken off.
    #[arg(long, conflicts_with = "rows")]
    pub lift: Option<Given<Length>>,
    /// Estimate: duration at the checking lift, crank degrees.
    #[arg(long)]
    pub duration: Option<Given<Angle>>,
    /// Estimate: the checking lift at the valve (0.050 in at the lifter x rocker ratio).
    #[arg(long)]
    pub checked: Option<Given<Length>>,
    /// Estimate: duration on the seat, crank degrees.
    #[arg(long)]
    pub seat: Option<Given<Angle>>,
    /// Estimate: centreline, after top for intake, before top for exhaust.
    #[arg(long)]
    pub centreline: Option<Given<Angle>>,
    /// Estimate: valve's travel from its seat to the crown, piston at the top.
    #[arg(long)]
    pub drop: Option<Given<Length>>,
    /// Estimate: the valve's tilt from the line of the bore.
    #[arg(long, default_value = "0")]
    pub tilt: Given<Angle>,
    #[command(flatten)]
    pub crankwork: Crankwork,
}

/// The two valves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ValveName {
    Intake,
    Exhaust,
}

impl ValveName {
    fn word(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }
}

impl ToValve {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let reply = match (&self.lift, self.rows.is_empty()) {
            (None, false) => self.measured(context)?,
            (Some(lift), true) => self.estimated(context, lift)?,
            _ => {
                let possible = "Rows of degrees:drop:lift, such as -10:0.210in:0.104in; or lift= and the cam card for an estimate.";
                return Err(Refusal::new("rows", "", possible).into());
            }
        };
        Ok(reply
            .action(Action::send("How it is measured", "page piston-to-valve"))
            .caution(Loudness::Warning, "A valve that touches a piston bends or breaks. Turn by hand, stop at any resistance. Measure with the crushed gasket, the cam timed as it will run, a solid lifter, running lash; keep room beside the valve's edge too. The cam and piston makers' figures win."))
    }

    /// From a table.
    fn measured(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.crankwork.engine.as_ref())?;
        let typed =
            self.rows.iter().flat_map(|rows| rows.split_whitespace()).map(cells).collect::<Result<Vec<_>, _>>()?;
        let lean = typed.iter().rev().find_map(|row| row.lift.system().or(row.drop.system())).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let mut rows = Vec::new();
        for Typed { angle, drop, lift } in &typed {
            rows.push(Row {
                angle: context.quantity("rows", angle, None)?,
                drop: context.quantity("rows", drop, lean)?,
                lift: context.quantity("rows", lift, lean)?,
            });
        }
        let sum = valve_gap::table(&rows).map_err(|mut unfit| {
            if unfit.input == "angle" {
                unfit.input = "rows";
            }
            unfit
        });
        // The largest of each kind is the one that cannot be.
        let most =
            |of: fn(&Typed) -> &Written| typed.iter().map(of).max_by(|a, b| a.number.abs().total_cmp(&b.number.abs()));
        let mut inputs = Vec::new();
        inputs.extend(most(|row| row.drop.written()).map(|w| ("drop", w)));
        inputs.extend(most(|row| row.lift.written()).map(|w| ("lift", w)));
        let sum = sum.or_refuse(&inputs)?;
        let smallest = sum.gaps[sum.smallest];
        let row = sum.rows[sum.smallest];
        let mut reply = Reply::new(self.title("", smallest, lead)).working([format!(
            "at {}: {} drop - {} lift = {}",
            crankwork::from_top(row.angle),
            show::length_in(row.drop, lead),
            show::length_in(row.lift, lead),
            show::length_in(smallest.clearance, lead)
        )]);
        let worst = sum.between.map_or(smallest, |between| between);
        if let Some(between) =
            sum.between.filter(|b| (b.clearance - smallest.clearance).abs() > Length::from_si(1.27e-6))
        {
            let said = format!(
                "perhaps {} at {}, by a parabola through the three rows",
                show::length(between.clearance, lead),
                crankwork::from_top(between.angle)
            );
            reply = reply.fields([("Between the rows", said)]).value(Value::length("between", between.clearance, lead));
        }
        let open = sum.at_end;
        if open {
            reply = reply.text("The smallest is at the end of the range: go on further, it may be smaller there.");
        }
        let (reply, limit) = self.judged(context, reply, engine, worst, open, lead);
        let rows = sum.rows.iter().zip(&sum.gaps).map(|(row, gap)| {
            let one = |length| show::length_in(length, lead).into();
            vec![show::angle(row.angle).into(), one(row.drop), one(row.lift), one(gap.clearance)]
        });
        let header = ["From top", "Drop", "Lift", "Clearance"].map(String::from).to_vec();
        Ok(reply
            .block(Block::Table(Table { caption: String::new(), header, rows: rows.collect() }))
            .figure(self.figure(&sum.gaps, true, smallest, limit, lead))
            .value(Value::length("smallest", smallest.clearance, lead))
            .value(Value::si("at", Dimension::Angle, smallest.angle.si(), lead))
            .sources(["definition: drop from the seat to the touch, less the lift the cam holds"]))
    }

    /// From the cam card, the drop at top dead centre and the crank's geometry.
    fn estimated(&self, context: &Context, lift: &Given<Length>) -> Result<Reply, Trouble> {
        let known = self.crankwork.read(context)?;
        let lean = lift.system().or(known.lean);
        let lead = context.lead_with(&[lean], known.engine);
        let mut typed = self.crankwork.typed();
        typed.push(("lift", lift.written()));
        typed.push(("tilt", self.tilt.written()));
        for (name, given) in [("checked", &self.checked), ("drop", &self.drop)] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        for (name, given) in [("duration", &self.duration), ("seat", &self.seat), ("centreline", &self.centreline)] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let length = |name: &str, given: &Option<Given<Length>>, what: &str| -> Result<Length, Refusal> {
            given.as_ref().map_or_else(|| Err(Refusal::new(name, "", what)), |g| context.quantity(name, g, lean))
        };
        let angle = |name: &str, given: &Option<Given<Angle>>, what: &str| -> Result<Angle, Refusal> {
            given.as_ref().map_or_else(|| Err(Refusal::new(name, "", what)), |g| context.quantity(name, g, None))
        };
        let centre = angle(
            "centreline",
            &self.centreline,
            "Degrees of full lift from top dead centre: after it for an intake, before it for an exhaust.",
        )?;
        if centre.si() < 0.0 {
            return Err(Refusal::new(
                "centreline",
                self.centreline.as_ref().map_or("", |g| &g.written().text),
                "Give it as the card does, without a sign: the valve says which side.",
            )
            .into());
        }
        let lobe = Lobe {
            lift: context.quantity("lift", lift, lean)?,
            checked: length(
                "checked",
                &self.checked,
                "Valve lift at which the duration is counted: 0.050 in x rocker ratio for most cards.",
            )?,
            duration: angle("duration", &self.duration, "Duration at the checking lift, crank degrees.")?,
            seat: angle("seat", &self.seat, "Duration on the seat, crank degrees.")?,
            centre: if self.valve == ValveName::Exhaust { -centre } else { centre },
        };
        let drop = length(
            "drop",
            &self.drop,
            "Push the valve down to the crown with the piston at the top: how far it goes.",
        )?;
        let tilt = context.quantity("tilt", &self.tilt, None)?;
        let sum = valve_gap::estimate(&known.slider, &lobe, drop, tilt).or_refuse(&typed)?;
        let one = |length| show::length_in(length, lead);
        let away = sum.drop * tilt.si().cos();
        let reply = Reply::new(self.title("Estimate: ", sum.smallest, lead)).working([
            known.said(),
            format!(
                "at {}: {} drop at top + {} piston x cos {} - {} lift = {}",
                crankwork::from_top(sum.smallest.angle),
                one(drop),
                one(sum.drop),
                show::angle(tilt),
                one(sum.lift),
                one(sum.smallest.clearance)
            ),
            format!("of that the piston has moved away {} along the valve", one(away)),
        ]);
        let (reply, limit) = self.judged(context, reply, known.engine, sum.smallest, true, lead);
        Ok(reply
            .text("An estimate to choose parts by, never to run on: the card does not tell the lobe's shape. The lift is drawn fuller round overlap than common lobes are, so the clearance should come out larger when it is measured. Measure it.")
            .figure(self.figure(&sum.curve, false, sum.smallest, limit, lead))
            .value(Value::length("smallest", sum.smallest.clearance, lead))
            .value(Value::si("at", Dimension::Angle, sum.smallest.angle.si(), lead))
            .sources(["drop at top + piston's drop along the valve - lift, for a relief cut square to the valve", "lift: parabola from full lift to the checking lift, straight to the seat; checked against 3-4-5, 4-5-6-7, cycloidal and harmonic lobes", "slider-crank, Heywood 2.2, from memory"]))
    }

    fn title(&self, before: &str, smallest: Gap, lead: System) -> String {
        let at = crankwork::from_top(smallest.angle);
        let valve = self.valve.word();
        if smallest.clearance.si() <= 0.0 {
            let short = show::length(smallest.clearance.abs(), lead);
            return format!("{before}Piston and {valve} valve touch: {short} too little at {at}");
        }
        format!("{before}Piston to {valve} valve {} at {at}", show::length(smallest.clearance, lead))
    }

    /// The verdict and the least that is allowed. What is not known to be the smallest is never better than marginal.
    fn judged(
        &self,
        context: &Context,
        reply: Reply,
        engine: Option<&Engine>,
        smallest: Gap,
        open: bool,
        lead: System,
    ) -> (Reply, Option<f64>) {
        let at = self.valve.word();
        let wanted =
            Wanted { measure: "piston to valve", at, engine, duty: None, sizes: Sizes::default(), overrides: None };
        let Some(held) = context.limit(wanted) else { return (reply, None) };
        let verdict = verdict(context, &held, smallest, open);
        (reply.verdict(verdict).fields([("Limit", held.said(lead))]), held.bounds.min)
    }

    fn figure(
        &self,
        gaps: &[Gap],
        dotted: bool,
        smallest: Gap,
        limit: Option<f64>,
        lead: System,
    ) -> crate::drawing::Figure {
        let one = |si: f64| Value::length("", Length::from_si(si), lead).value;
        let point = |gap: &Gap| (gap.angle.si().to_degrees(), one(gap.clearance.si()));
        let (x, y) = point(&smallest);
        let words = format!(
            "smallest {} at {}",
            show::length_in(smallest.clearance, lead),
            crankwork::from_top(smallest.angle)
        );
        curves::draw(&Curves {
            heading: format!("Piston to {} valve", self.valve.word()),
            along: "degrees from top dead centre".to_owned(),
            panels: vec![Panel {
                name: "Clearance along the valve".to_owned(),
                unit: if lead == System::Inch { "in" } else { "mm" }.to_owned(),
                decimals: if lead == System::Inch { 3 } else { 2 },
                points: gaps.iter().map(point).collect(),
                dotted,
                limit: limit.map(one),
                spots: vec![Spot { x, y, words }],
            }],
        })
    }
}

fn verdict(context: &Context, held: &Held, smallest: Gap, open: bool) -> Verdict {
    let verdict = held.verdict(smallest.clearance.si(), context.doubt("smallest"));
    if open && verdict == Verdict::Within { Verdict::Marginal } else { verdict }
}

/// A row as typed.
struct Typed {
    angle: Given<Angle>,
    drop: Given<Length>,
    lift: Given<Length>,
}

/// `-10:0.210in:0.104in`: one row.
fn cells(row: &str) -> Result<Typed, Refusal> {
    let refuse =
        |why: String| Refusal::new("rows", row, format!("{why} Write degrees:drop:lift, such as -10:0.210in:0.104in."));
    let parts: Vec<&str> = row.split(':').collect();
    let [angle, drop, lift] = parts.as_slice() else { return Err(refuse("It has not three parts.".to_owned())) };
    fn part<Q: Measure>(text: &str) -> Result<Given<Q>, String> {
        text.parse().map_err(|misread| format!("“{text}” {misread}."))
    }
    Ok(Typed {
        angle: part(angle).map_err(refuse)?,
        drop: part(drop).map_err(refuse)?,
        lift: part(lift).map_err(refuse)?,
    })
}
