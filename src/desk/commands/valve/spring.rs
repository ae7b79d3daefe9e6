//! `valve spring load=110lbf at=1.800in load=300lbf at=1.250in height=1.800in lift=0.500in solid=1.150in`,
//! or by `rate=` and one load, by `rate=` and `free=`, or by its wire.

use clap::Args;

use super::{ValveName, under_load};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::sense::{Inputs, OrRefuse};
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::springs::{self, Installed, Spring as Line, Wire};
use crate::quantity::{Dimension, Force, Given, Length, Measure, Number, Pressure, Stiffness, System, show};

/// What is known of the spring, and its place.
#[derive(Debug, Args)]
#[command(
    after_help = "valve spring load=110lbf at=1.800in load=300lbf at=1.250in height=1.800in lift=0.500in solid=1.150in"
)]
pub struct Spring {
    /// Load read on the tester; one for each height in at.
    #[arg(long)]
    pub load: Vec<Given<Force>>,
    /// Height each load was read at, in the same order; left out, one load is at the installed height.
    #[arg(long)]
    pub at: Vec<Given<Length>>,
    /// Spring rate, where it is known.
    #[arg(long, conflicts_with = "wire")]
    pub rate: Option<Given<Stiffness>>,
    /// Free length, with a rate or a wire.
    #[arg(long, conflicts_with_all = ["load", "at"])]
    pub free: Option<Given<Length>>,
    /// Wire diameter.
    #[arg(long, requires_all = ["outside", "coils"])]
    pub wire: Option<Given<Length>>,
    /// Outside diameter of the coil.
    #[arg(long, requires = "wire")]
    pub outside: Option<Given<Length>>,
    /// Active coils: closed ends do not count.
    #[arg(long, requires = "wire")]
    pub coils: Option<Given<Number>>,
    /// Shear modulus of the wire.
    #[arg(long, default_value = "77.2GPa")]
    pub shear: Given<Pressure>,
    /// Installed height, valve shut.
    #[arg(long)]
    pub height: Option<Given<Length>>,
    /// Lift at the valve.
    #[arg(long, requires = "height")]
    pub lift: Option<Given<Length>>,
    /// Shim under the spring, not yet counted in the height.
    #[arg(long, requires = "height")]
    pub shim: Option<Given<Length>>,
    /// Seat load wanted: what shim gives it.
    #[arg(long, requires = "height")]
    pub wanted: Option<Given<Force>>,
    /// Height at which the coils touch.
    #[arg(long, requires_all = ["height", "lift"])]
    pub solid: Option<Given<Length>>,
    /// Whose limits.
    #[arg(long)]
    pub valve: Option<ValveName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// A spring's rate alone, or its whole line.
enum Known {
    Rate(Stiffness),
    Line(Line),
}

impl Spring {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lengths = || self.at.iter().chain([&self.height, &self.lift, &self.free, &self.wire].into_iter().flatten());
        let lean = lengths().find_map(Given::system).or(context.lean(engine));
        let lead = context.lead_with(&[lean, self.load.first().and_then(Given::system)], engine);
        let mut typed = Vec::new();
        typed.extend(self.load.last().map(|g| ("load", g.written())));
        typed.extend(self.at.last().map(|g| ("at", g.written())));
        typed.extend(self.rate.as_ref().map(|g| ("rate", g.written())));
        typed.extend(self.coils.as_ref().map(|g| ("coils", g.written())));
        typed.push(("shear", self.shear.written()));
        typed.extend(self.wanted.as_ref().map(|g| ("wanted", g.written())));
        for (name, given) in [
            ("free", &self.free),
            ("wire", &self.wire),
            ("outside", &self.outside),
            ("height", &self.height),
            ("lift", &self.lift),
            ("shim", &self.shim),
            ("solid", &self.solid),
        ] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let mut working = Vec::new();
        let known = self.known(context, lean, lead, &typed, &mut working)?;
        let length = |name: &str, given: &Option<Given<Length>>| {
            given.as_ref().map(|g| context.quantity(name, g, lean)).transpose()
        };
        let rate = match &known {
            Known::Rate(rate) => *rate,
            Known::Line(line) => line.rate,
        };
        let rate_value = Value::si("rate", Dimension::Stiffness, rate.si(), lead);
        let Some(height) = length("height", &self.height)? else {
            let reply =
                Reply::new(format!("Spring rate {}", show::stiffness(rate, lead))).working(working).value(rate_value);
            return Ok(self.finish(reply));
        };
        let Known::Line(line) = known else {
            let possible = "With a rate alone no load is known: give load= and at=, or free=.";
            return Err(Refusal::new("load", "", possible).into());
        };
        let nothing = Length::from_si(0.0);
        let lift = length("lift", &self.lift)?;
        let shim = length("shim", &self.shim)?;
        let solid = length("solid", &self.solid)?;
        let sum = springs::installed(&line, height, shim.unwrap_or(nothing), lift.unwrap_or(nothing), solid)
            .or_refuse(&typed)?;
        working.extend(worked(&line, &sum, (height, shim, lift, solid), lead));
        let mut title = format!("Seat load {}", show::force(sum.seat, lead));
        if lift.is_some() {
            title = format!("{title}, open load {}", show::force(sum.open, lead));
        }
        if let Some(margin) = sum.margin {
            title = if margin.si() < 0.0 {
                format!("Coil bind {} before full lift: do not run it", show::length(-margin, lead))
            } else {
                format!("{title}, {} to coil bind", show::length(margin, lead))
            };
        }
        let mut reply = Reply::new(title)
            .working(working)
            .fields([("Rate", show::stiffness(line.rate, lead))])
            .value(rate_value)
            .value(Value::si("seat_load", Dimension::Force, sum.seat.si(), lead))
            .value(Value::length("height", sum.height, lead));
        if sum.margin.is_some_and(|margin| margin.si() < 0.0) {
            reply = reply.text("The coils touch before the valve is fully open, so there is no open load: bent pushrods and broken springs follow. Less shim, less lift, or another spring.");
        } else if lift.is_some() {
            reply = reply.value(Value::si("open_load", Dimension::Force, sum.open.si(), lead)).value(Value::length(
                "open_height",
                sum.open_height,
                lead,
            ));
        }
        if let Some(margin) = sum.margin {
            reply = self.bind(context, reply, margin, engine, lead);
        }
        if let Some(wanted) = &self.wanted {
            let wanted = context.quantity("wanted", wanted, lean)?;
            let margin = sum.margin;
            let sum = springs::shim_for(&line, sum.height, wanted).or_refuse(&typed)?;
            let said = if sum.shim.si() < 0.0 {
                format!("sits {} too low already: no shim lowers its load", show::length(-sum.shim, lead))
            } else {
                let bind =
                    margin.map(|margin| format!("; then {} to coil bind", show::length(margin - sum.shim, lead)));
                format!("shim {} more{}", show::length(sum.shim, lead), bind.unwrap_or_default())
            };
            reply = reply
                .fields([(
                    "For the wanted load",
                    format!("{} at {}: {said}", show::force(sum.wanted, lead), show::length(sum.height, lead)),
                )])
                .value(Value::length("shim", sum.shim, lead))
                .value(Value::length("wanted_height", sum.height, lead));
        }
        Ok(self.finish(reply))
    }

    /// The spring from whichever of the ways it was given.
    fn known(
        &self,
        context: &Context,
        lean: Option<System>,
        lead: System,
        typed: Inputs,
        working: &mut Vec<String>,
    ) -> Result<Known, Trouble> {
        let loads = context.quantities("load", &self.load, lean)?;
        let (name, heights) = match (&self.at[..], &self.height) {
            ([], Some(height)) if loads.len() == 1 => ("height", std::slice::from_ref(height)),
            (at, _) => ("at", at),
        };
        let at = context.quantities(name, heights, lean)?;
        if loads.len() != at.len() {
            let possible = format!("Each load goes with its height: {} load= and {} at= came.", loads.len(), at.len());
            return Err(Refusal::new("at", "", possible).into());
        }
        for ((load, height), (one, other)) in loads.iter().zip(&at).zip(self.load.iter().zip(heights)) {
            springs::reading(*load, *height).or_refuse(&[("load", one.written()), (name, other.written())])?;
        }
        let free = self.free.as_ref().map(|g| context.quantity("free", g, lean)).transpose()?;
        let rate = match (&self.rate, &self.wire) {
            (Some(rate), _) => Some(context.quantity("rate", rate, lean)?),
            (None, Some(wire)) => Some(self.wound(context, wire, lean, lead, typed, working)?),
            (None, None) => None,
        };
        let line = match (rate, loads.as_slice(), at.as_slice()) {
            (None, [first, second], [one, other]) => {
                if !crate::quantity::above(*one, *other) && !crate::quantity::below(*one, *other) {
                    let possible = "The two loads want two heights, well apart, such as seat and full lift.";
                    return Err(Refusal::new("at", show::length_in(*one, lead), possible).into());
                }
                let line = Line::of_loads((*first, *one), (*second, *other)).or_refuse(typed)?;
                let (more, less) = if first > second { (first, second) } else { (second, first) };
                working.push(format!(
                    "rate = ({} - {}) / {} = {}",
                    force_in(*more, lead),
                    force_in(*less, lead),
                    show::length_in((*one - *other).abs(), lead),
                    show::stiffness(line.rate, lead)
                ));
                line
            }
            (Some(rate), [load], [height]) => Line::new(rate, *load, *height).or_refuse(typed)?,
            (Some(rate), [], []) => match free {
                Some(free) => Line::free(rate, free).or_refuse(typed)?,
                None => {
                    springs::rate(rate).or_refuse(typed)?;
                    return Ok(Known::Rate(rate));
                }
            },
            (None, [], []) | (None, [_], [_]) => {
                let possible = "Give two loads with their heights, or rate= (or wire=, outside= and coils=) with one load or free=.";
                return Err(Refusal::new("load", "", possible).into());
            }
            (Some(_), ..) => return Err(Refusal::new("load", "", "With a rate goes one load and its height.").into()),
            (None, ..) => return Err(Refusal::new("load", "", "Two loads with their heights, no more.").into()),
        };
        Ok(Known::Line(line))
    }

    fn wound(
        &self,
        context: &Context,
        wire: &Given<Length>,
        lean: Option<System>,
        lead: System,
        typed: Inputs,
        working: &mut Vec<String>,
    ) -> Result<Stiffness, Trouble> {
        let (Some(outside), Some(coils)) = (&self.outside, &self.coils) else {
            return Err(Refusal::new("outside", "", "With a wire go outside= and coils=.").into());
        };
        let spring = Wire {
            wire: context.quantity("wire", wire, lean)?,
            outside: context.quantity("outside", outside, lean)?,
            coils: context.quantity("coils", coils, None)?.0,
            shear: context.quantity("shear", &self.shear, lean)?,
        };
        let sum = springs::wound(spring).or_refuse(typed)?;
        working.push(format!(
            "mean coil = {} - {} = {} ({} wires)",
            show::length_in(spring.outside, lead),
            show::length_in(spring.wire, lead),
            show::length_in(sum.mean, lead),
            show::fixed(sum.index, 1)
        ));
        working.push(format!(
            "rate = {} GPa x ({})^4 / (8 x ({})^3 x {}) = {}",
            show::fixed(spring.shear.si() / 1e9, 1),
            show::length_in(spring.wire, lead),
            show::length_in(sum.mean, lead),
            show::number(spring.coils),
            show::stiffness(sum.rate, lead)
        ));
        Ok(sum.rate)
    }

    fn bind(&self, context: &Context, reply: Reply, margin: Length, engine: Option<&Engine>, lead: System) -> Reply {
        let reply = reply.value(Value::length("bind_margin", margin, lead));
        let at = self.valve.map_or("-", ValveName::part);
        let wanted =
            Wanted { measure: "coil bind margin", at, engine, duty: None, sizes: Sizes::default(), overrides: None };
        let Some(held) = context.limit(wanted) else { return reply };
        let verdict = held.verdict(margin.si(), context.doubt("bind_margin"));
        reply.verdict(verdict).fields([("Coil bind", held.said(lead))]).figure(held.strip(
            "Coil-bind margin".to_owned(),
            lead,
            margin.si(),
            context.doubt("bind_margin"),
            verdict,
        ))
    }

    fn finish(&self, reply: Reply) -> Reply {
        let mut sources =
            vec!["Hooke's law between the two heights; beehive and progressive springs have no one rate".to_owned()];
        if self.wire.is_some() {
            sources.push(
                "k = G d^4 / (8 D^3 n): Shigley, helical springs; G of valve-spring wire 77.2 GPa, from memory"
                    .to_owned(),
            );
        }
        under_load(reply)
            .text("Each spring of a nest by itself; the loads add, and the smallest margin counts. The cam or spring maker's loads win.")
            .sources(sources)
            .action(Action::send("Measuring springs", "page valve-guides-and-springs"))
    }
}

fn force_in(force: Force, lead: System) -> String {
    show::any_in(Dimension::Force, force.si(), lead)
}

/// Height, shim, lift and solid height as given.
type Place = (Length, Option<Length>, Option<Length>, Option<Length>);

fn worked(line: &Line, sum: &Installed, (height, shim, lift, solid): Place, lead: System) -> Vec<String> {
    let length = |value| show::length_in(value, lead);
    let mut out = Vec::new();
    if let Some(shim) = shim {
        out.push(format!("height {} - {} shim = {}", length(height), length(shim), length(sum.height)));
    }
    let from = |to: Length, load: Force| {
        format!(
            "{} + {} x ({} - {}) = {}",
            force_in(line.load, lead),
            show::any_in(Dimension::Stiffness, line.rate.si(), lead),
            length(line.at),
            length(to),
            force_in(load, lead)
        )
    };
    out.push(format!("seat: {}", from(sum.height, sum.seat)));
    if let Some(lift) = lift {
        out.push(format!("open height {} - {} lift = {}", length(sum.height), length(lift), length(sum.open_height)));
        if sum.margin.is_none_or(|margin| margin.si() >= 0.0) {
            out.push(format!("open: {}", from(sum.open_height, sum.open)));
        }
    }
    if let (Some(solid), Some(margin)) = (solid, sum.margin) {
        out.push(format!("margin: {} - {} solid = {}", length(sum.open_height), length(solid), length(margin)));
    }
    out
}
