//! `piston motion 75 4500rpm stroke=3.480in rod=5.700in`: where the piston is, how fast, with what acceleration.

use clap::Args;

use crate::desk::commands::crankwork::{self, Crankwork, Known};
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::drawing::curves::{self, Curves, Panel, Spot};
use crate::maths::slider::{Place, Slider, Turn};
use crate::quantity::{Angle, Dimension, Given, Length, Measure, System, Turning, show};

/// Angle and speed of the crank, and what turns.
#[derive(Debug, Args)]
#[command(after_help = "piston motion 75 4500rpm stroke=3.480in rod=5.700in offset=0.060in")]
pub struct Motion {
    /// Crank from top dead centre in degrees; before it is negative.
    #[arg(required = true, allow_hyphen_values = true)]
    pub angle: Given<Angle>,
    /// Speed of the engine: for the speed and acceleration of the piston.
    pub rpm: Option<Given<Turning>>,
    #[command(flatten)]
    pub crankwork: Crankwork,
}

impl Motion {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let known = self.crankwork.read(context)?;
        let angle = context.quantity("angle", &self.angle, None)?;
        let mut typed = self.crankwork.typed();
        typed.push(("angle", self.angle.written()));
        typed.extend(self.rpm.as_ref().map(|g| ("rpm", g.written())));
        let place = known.slider.at(angle).or_refuse(&typed)?;
        let lead = known.lead;
        let title = format!("{} below the top at {}", show::length(place.drop, lead), crankwork::from_top(angle));
        let turning = self.rpm.as_ref().map(|given| context.quantity("rpm", given, None)).transpose()?;
        let turn = turning.map(|turning| known.slider.turn(turning)).transpose().or_refuse(&typed)?;
        let mut reply = Reply::new(title)
            .working(working(&known, &place))
            .value(Value::length("drop", place.drop, lead))
            .value(Value::plain("share_of_travel", place.share))
            .value(Value::length("travel", known.slider.travel(), lead));
        let here = Spot {
            x: turns(angle),
            y: length(place.drop, lead),
            words: format!("at {}: {}", crankwork::from_top(angle), show::length_in(place.drop, lead)),
        };
        let mut panels =
            vec![panel(&known.slider, "Below the top", unit(lead), 2, vec![here], |p| length(p.drop, lead))];
        if let (Some(turning), Some(turn)) = (turning, turn) {
            let (speed, pull) = (Slider::speed(&place, turning), Slider::acceleration(&place, turning));
            let way = if speed.value < 0.0 { "up" } else { "down" };
            let toward = if pull.value < 0.0 { "up" } else { "down" };
            reply.title += &format!(", {} {way}", crankwork::speed(speed.abs(), lead));
            reply = moving(reply, &turn, lead)
                .working([format!(
                    "mean speed: 2 x {} travel x {} = {}",
                    show::length_in(known.slider.travel(), lead),
                    rpm(turning),
                    crankwork::speed(turn.mean, lead)
                )])
                .fields([(
                    "Here",
                    format!(
                        "{} {way}, acceleration {} {toward}",
                        crankwork::speed(speed.abs(), lead),
                        crankwork::acceleration(pull.abs())
                    ),
                )])
                .value(crankwork::speed_value("speed", speed, lead))
                .value(Value::counted("acceleration", pull.value, "m/s2"));
            panels.extend(faster(&known.slider, turning, &turn, lead));
        } else {
            reply =
                reply.action(Action::form("Its speed and acceleration", format!("piston motion {} rpm=", self.angle)));
        }
        Ok(reply
            .figure(curves::draw(&Curves {
                heading: "Piston over a turn".to_owned(),
                along: "degrees after top dead centre".to_owned(),
                panels,
            }))
            .caution(Loudness::Important, "Acceleration grows with the square of the speed, and the rod bolts carry the piston through it. What a rod, a bolt or a piston may be turned to is its maker's to say.")
            .sources(["slider-crank with pin offset; Heywood, Internal Combustion Engine Fundamentals, 2.2, from memory, has it without", "degrees from the piston's own top, as a wheel is zeroed; a steady crank"]))
    }
}

fn working(known: &Known, place: &Place) -> Vec<String> {
    let lead = known.lead;
    let one = |length| show::length_in(length, lead);
    vec![
        format!("{}: travel {}", known.said(), one(known.slider.travel())),
        format!(
            "crank pin {} past upright, rod {} off the bore's line: drop {} = {} % of the travel",
            show::angle(place.crank),
            show::angle(place.lean.abs()),
            one(place.drop),
            show::fixed(place.share * 100.0, 1)
        ),
    ]
}

/// Mean and peaks, said and given.
fn moving(reply: Reply, turn: &Turn, lead: System) -> Reply {
    let at = crankwork::from_top;
    reply
        .fields([
            ("Mean speed", crankwork::speed(turn.mean, lead)),
            ("Fastest down", format!("{} at {}", crankwork::speed(turn.down.most, lead), at(turn.down.at))),
            ("Fastest up", format!("{} at {}", crankwork::speed(turn.up.most.abs(), lead), at(turn.up.at))),
            ("Acceleration, most down", format!("{} at {}", crankwork::acceleration(turn.pull.most), at(turn.pull.at))),
            (
                "Acceleration, most up",
                format!("{} at {}", crankwork::acceleration(turn.push.most.abs()), at(turn.push.at)),
            ),
        ])
        .value(crankwork::speed_value("mean_speed", turn.mean, lead))
        .value(crankwork::speed_value("peak_speed_down", turn.down.most, lead))
        .value(Value::si("peak_speed_down_at", Dimension::Angle, turn.down.at.si(), lead))
        .value(Value::counted("peak_acceleration", turn.pull.most.value, "m/s2"))
}

fn faster(slider: &Slider, turning: Turning, turn: &Turn, lead: System) -> [Panel; 2] {
    let speed = |p: &Place| crankwork::speed_in(Slider::speed(p, turning), lead).0;
    let ((down, unit), (up, _)) = (crankwork::speed_in(turn.down.most, lead), crankwork::speed_in(turn.up.most, lead));
    let peak = |name: &str, angle: Angle, y: f64, unit: &str, decimals| {
        let words = format!("{name} {} {unit} at {}", show::fixed(y.abs(), decimals), show::angle(angle));
        Spot { x: turns(angle), y, words }
    };
    let decimals = if lead == System::Inch { 0 } else { 1 };
    let fast = vec![peak("down", turn.down.at, down, unit, decimals), peak("up", turn.up.at, up, unit, decimals)];
    let (pull, push) = (crankwork::in_g(turn.pull.most), crankwork::in_g(turn.push.most));
    let hard = vec![peak("down", turn.pull.at, pull, "g", 0), peak("up", turn.push.at, push, "g", 0)];
    [
        panel(slider, "Speed, down positive", unit, decimals, fast, speed),
        panel(slider, "Acceleration, down positive", "g", 0, hard, |p| {
            crankwork::in_g(Slider::acceleration(p, turning))
        }),
    ]
}

fn panel(
    slider: &Slider,
    name: &str,
    unit: &str,
    decimals: usize,
    spots: Vec<Spot>,
    of: impl Fn(&Place) -> f64,
) -> Panel {
    let points = slider.over_a_turn(120).map(|(angle, place)| (angle.si().to_degrees(), of(&place))).collect();
    Panel { name: name.to_owned(), unit: unit.to_owned(), decimals, points, dotted: false, limit: None, spots }
}

/// An angle within the turn that the figure shows, degrees.
fn turns(angle: Angle) -> f64 {
    angle.si().to_degrees().rem_euclid(360.0)
}

fn length(length: Length, lead: System) -> f64 {
    Value::length("", length, lead).value
}

fn unit(lead: System) -> &'static str {
    if lead == System::Inch { "in" } else { "mm" }
}

fn rpm(turning: Turning) -> String {
    show::any(Dimension::Turning, turning.si(), System::Inch)
}
