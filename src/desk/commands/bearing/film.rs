//! `bearing film 2.1in 0.8in 0.0025in load=900lbf speed=2400rpm viscosity=10cP`: the thinnest oil film, estimated.

use clap::Args;

use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::Rule;
use crate::maths::film::{self, Bearing, Film as Sum};
use crate::maths::oil::{self, Sheet};
use crate::quantity::{
    Dimension, Force, Given, Length, Measure, Number, System, Temperature, Turning, Viscosity, in_inches, show,
};

/// The bearing, and what it runs under.
#[derive(Debug, Args)]
#[command(after_help = "bearing film 2.100in 0.800in 0.0025in load=900lbf speed=2400rpm viscosity=10cP")]
pub struct Film {
    /// Journal diameter.
    pub journal: Given<Length>,
    /// Working length of the shell along the journal, without chamfers and grooves.
    pub length: Given<Length>,
    /// Oil clearance on diameter, as it is measured.
    pub clearance: Given<Length>,
    /// Steady load on the bearing.
    #[arg(long)]
    pub load: Given<Force>,
    /// Turns of the shaft a minute.
    #[arg(long)]
    pub speed: Given<Turning>,
    /// Viscosity of the oil at the temperature in the film, in mPa s (the same as cP).
    #[arg(long)]
    pub viscosity: Option<Given<Viscosity>>,
    /// In place of the viscosity, from the oil's data sheet: mm2/s (the same as cSt) at 40 °C.
    #[arg(long, conflicts_with = "viscosity")]
    pub at40: Option<Given<Number>>,
    /// And mm2/s at 100 °C.
    #[arg(long, conflicts_with = "viscosity")]
    pub at100: Option<Given<Number>>,
    /// With the data sheet: temperature of the oil in the film.
    #[arg(long, conflicts_with = "viscosity")]
    pub temp: Option<Given<Temperature>>,
    /// With the data sheet: density at 15 °C, g/cm3.
    #[arg(long, default_value = "0.87")]
    pub density: Given<Number>,
}

impl Film {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let systems = [self.journal.system(), self.length.system(), self.clearance.system()];
        let lean = systems.iter().flatten().next().copied().or(context.lean(engine));
        let bearing = Bearing {
            journal: context.quantity("journal", &self.journal, lean)?,
            length: context.quantity("length", &self.length, lean)?,
            clearance: context.quantity("clearance", &self.clearance, lean)?,
            load: context.quantity("load", &self.load, lean)?,
            speed: context.quantity("speed", &self.speed, Some(System::Inch))?,
            viscosity: self.viscosity(context, lean)?.0,
        };
        let mut typed = vec![
            ("journal", self.journal.written()),
            ("length", self.length.written()),
            ("clearance", self.clearance.written()),
            ("load", self.load.written()),
            ("speed", self.speed.written()),
        ];
        typed.extend(self.viscosity.as_ref().map(|g| ("viscosity", g.written())));
        let (sommerfeld, _) = film::sommerfeld(&bearing).or_refuse(&typed)?;
        let sum = match film::film(&bearing) {
            Err(unfit) => match unfit.rule {
                Rule::OutsideRange { low, high, dimension: Dimension::Number } => {
                    return Err(off_the_chart(sommerfeld, low, high).into());
                }
                _ => Err(unfit).or_refuse(&typed)?,
            },
            Ok(sum) => sum,
        };
        let lead = context.lead_with(&systems, engine);
        let (viscosity, from) = self.viscosity(context, lean)?;
        let mut reply = told(&bearing, &sum, lead);
        if let Some(line) = from {
            reply = reply
                .working([line])
                .value(Value::si("viscosity", Dimension::Viscosity, viscosity.0, lead))
                .sources([
                    "viscosity between 40 and 100 °C: ASTM D341",
                    "density 0.64 kg/m3 less for each °C: common practice",
                ])
                .caution(
                    Loudness::Note,
                    "Oils with thickeners are thinner in a bearing than their sheet says, for they shear.",
                );
        }
        Ok(reply)
    }

    /// As given, or from the oil's sheet with its line of working.
    fn viscosity(&self, context: &Context, lean: Option<System>) -> Result<(Viscosity, Option<String>), Trouble> {
        if let Some(given) = &self.viscosity {
            return Ok((context.quantity("viscosity", given, Some(System::Metric))?, None));
        }
        let (Some(at_40), Some(at_100), Some(temp)) = (&self.at40, &self.at100, &self.temp) else {
            let possible = "A viscosity, such as 10 cP; or at40=, at100= and temp= from the oil's data sheet: a grade alone does not tell it.";
            return Err(Refusal::new("viscosity", "", possible).into());
        };
        let sheet = Sheet {
            at_40: context.quantity("at40", at_40, None)?,
            at_100: context.quantity("at100", at_100, None)?,
            density: context.quantity("density", &self.density, None)?,
        };
        let temperature = context.quantity("temp", temp, lean)?;
        let typed = [
            ("at40", at_40.written()),
            ("at100", at_100.written()),
            ("temp", temp.written()),
            ("density", self.density.written()),
        ];
        let oil = oil::at(&sheet, temperature).or_refuse(&typed)?;
        let line = format!(
            "oil at {}: {} mm2/s x {} g/cm3 = {}",
            show::temperature(temperature, System::Metric),
            show::fixed(oil.kinematic, 2),
            show::fixed(oil.density, 3),
            show::any_in(Dimension::Viscosity, oil.viscosity.0, System::Metric)
        );
        Ok((oil.viscosity, Some(line)))
    }
}

fn told(bearing: &Bearing, sum: &Sum, lead: System) -> Reply {
    Reply::new(format!("Thinnest oil film about {}: an estimate", film_length(sum.thinnest, lead)))
        .text("A steady load on a full round bearing without a groove, fed with oil at one viscosity. A bearing in a running engine is none of these: use it to compare one clearance, length or oil with another, not to pass a bearing.")
        .fields([
            ("h0/c", format!("{}: film over radial clearance", show::fixed(sum.relative, 2))),
            ("Eccentricity ratio", show::fixed(sum.eccentricity, 2)),
            ("Sommerfeld number S", format!("{} (Raimondi and Boyd)", show::number(sum.sommerfeld))),
            ("So of ISO 7902", format!("{} = 1 / (2 pi S): the reciprocal over 2 pi", show::fixed(sum.sommerfeld_iso, 3))),
            ("Length over diameter", show::fixed(sum.ratio, 3)),
        ])
        .working([
            format!(
                "P: {} / ({} x {}) = {}",
                show::force(bearing.load, lead),
                show::length_in(bearing.length, lead),
                show::length_in(bearing.journal, lead),
                show::pressure(sum.pressure, lead)
            ),
            format!(
                "c: {} on diameter / 2 = {}",
                show::length_in(bearing.clearance, lead),
                thin(sum.radial_clearance, lead)
            ),
            format!(
                "S: (r/c)^2 x viscosity x turns a second / P = {}^2 x {} x {} / {} = {}",
                show::fixed(bearing.journal.si() / bearing.clearance.si(), 0),
                show::any_in(Dimension::Viscosity, bearing.viscosity.0, lead),
                show::fixed(bearing.speed.si() / std::f64::consts::TAU, 1),
                show::any_in(Dimension::Pressure, sum.pressure.si(), System::Metric),
                show::number(sum.sommerfeld)
            ),
            format!("film: {} x {} = {}", show::fixed(sum.relative, 3), thin(sum.radial_clearance, lead), thin(sum.thinnest, lead)),
        ])
        .value(Value::length("thinnest_film", sum.thinnest, lead))
        .value(Value::plain("film_over_clearance", sum.relative))
        .value(Value::plain("eccentricity_ratio", sum.eccentricity))
        .value(Value::plain("sommerfeld", sum.sommerfeld))
        .value(Value::plain("sommerfeld_iso", sum.sommerfeld_iso))
        .value(Value::si("pressure", Dimension::Pressure, sum.pressure.si(), lead))
        .caution(Loudness::Warning, "An estimate by chart. The maker's clearance, oil grade and oil pressure decide, not this film.")
        .sources([
            "Raimondi and Boyd, chart points for the full bearing, l/d 1/4, 1/2 and 1 (from memory; each checked against a numerical solution of the Reynolds equation)",
            "between the points and the lines: our interpolation",
        ])
        .action(Action::send("Oil clearance rules", "page any-duty"))
}

/// A film is a few tenths of a thou: one digit more than other lengths, and microns.
fn film_length(length: Length, lead: System) -> String {
    let (inch, micron) = (thin(length, System::Inch), thin(length, System::Metric));
    match lead {
        System::Inch => format!("{inch} ({micron})"),
        System::Metric => format!("{micron} ({inch})"),
    }
}

fn thin(length: Length, lead: System) -> String {
    match lead {
        System::Inch => format!("{} in", show::fixed(in_inches(length), 5)),
        System::Metric => format!("{} µm", show::fixed(length.si() * 1e6, 1)),
    }
}

fn off_the_chart(sommerfeld: f64, low: f64, high: f64) -> Refusal {
    let which = if sommerfeld < low {
        "the film is thinner than 3 % of the radial clearance: too much load, too little speed or oil too thin"
    } else {
        "the film is thicker than 90 % of the radial clearance: hardly loaded at all"
    };
    let possible = format!(
        "With the rest it makes S = {}, off the chart ({} to {} at this length over diameter): {which}.",
        show::number(sommerfeld),
        show::number(low),
        show::number(high)
    );
    Refusal::new("load", "", possible)
}
